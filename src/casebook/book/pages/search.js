// Finds pages by words; a word may be begun, not finished. The data stand in search-data.js.
(function () {
  "use strict";
  var box = document.getElementById("words");
  var list = document.getElementById("hits");
  var form = document.getElementById("search");
  form.hidden = false;
  form.addEventListener("submit", function (event) { event.preventDefault(); });
  box.addEventListener("input", function () {
    var wanted = box.value.toLowerCase().split(/[^\p{L}\p{N}]+/u).filter(Boolean);
    list.textContent = "";
    if (!wanted.length) { return; }
    var found = [];
    PAGES.forEach(function (page) {
      var score = 0;
      var all = wanted.every(function (word) {
        var title = (" " + page.title.toLowerCase()).indexOf(" " + word);
        var text = (" " + page.text).indexOf(" " + word);
        if (title >= 0) { score += 3; }
        if (text >= 0) { score += 1; }
        return title >= 0 || text >= 0;
      });
      if (all) { found.push({ page: page, score: score }); }
    });
    found.sort(function (a, b) { return b.score - a.score || (a.page.title < b.page.title ? -1 : 1); });
    found.slice(0, 20).forEach(function (hit) {
      var item = document.createElement("li");
      var link = document.createElement("a");
      link.href = hit.page.file;
      link.textContent = hit.page.title;
      item.appendChild(link);
      item.appendChild(document.createTextNode(" (" + hit.page.kind + ")"));
      list.appendChild(item);
    });
    if (!found.length) {
      var none = document.createElement("li");
      none.textContent = "Nothing found.";
      list.appendChild(none);
    }
  });
}());
