"""Regenerates the figures that open libraries vouch for in the physics tests.

Not part of `cargo test`: the tests read `physics_reference.json`, which this script writes beside itself.

    python3 -m venv venv
    venv/bin/pip install chemicals==1.5.2 thermo==0.6.1 scipy==1.17.1 pint==0.24.4 iapws==1.5.5 \
        CoolProp==8.0.0 pycalphad==0.11.2
    venv/bin/python tests/reference/physics_reference.py

The `mould` group also needs burnman 2.1.0, which wants numpy below 2 and so an environment of its own:

    venv2/bin/pip install burnman==2.1.0 autograd chemicals==1.5.2 thermo==0.6.1 'numpy<2'
    venv2/bin/python tests/reference/physics_reference.py mould

Groups may be named as arguments; entries of groups that are not run stay as they are in the file. Each entry has a
name, a value, a unit, the allowed difference in the test, and the library with its version. The database files COST507.tdb
(I. Ansara, A. T. Dinsdale, M. H. Rand 1998) and cuo.tdb (L. Schramm et al. 2005) are those in pycalphad's own tests.
The silver-copper parameters are written out below; the solver is pycalphad's. The freezing times come from a
plain explicit finite-difference model in this file, independent of the formulas in the program.
"""

import importlib.metadata
import json
import math
import os
import sys
import warnings

warnings.filterwarnings("ignore")
HERE = os.path.dirname(os.path.abspath(__file__))
OUT = os.path.join(HERE, "physics_reference.json")
R = 8.314462618


def made_by(*names):
    return ", ".join(f"{n} {importlib.metadata.version(n)}" for n in names)


def vapour():
    """Boiling point of zinc, and Alcock fits of the other metals at one temperature each."""
    import chemicals
    from thermo import VaporPressure

    by = made_by("chemicals")
    yield "zinc boils", chemicals.Tb("7440-66-6"), "K", 3.0, by
    metals = [("Ag", "7440-22-4", 1417.0), ("Cu", "7440-50-8", 1800.0), ("Au", "7440-57-5", 2000.0),
              ("Pb", "7439-92-1", 1150.0), ("Sn", "7440-31-5", 1800.0), ("In", "7440-74-6", 1450.0),
              ("Ni", "7440-02-0", 2000.0), ("Pd", "7440-05-3", 2000.0)]
    by = made_by("thermo", "chemicals") + ", Alcock et al. 1984"
    for symbol, cas, t in metals:
        p = VaporPressure(CASRN=cas, Tb=3000, Tc=8000, Pc=1e8).calculate(t, "ALCOCK_ELEMENTS")
        yield f"vapour of {symbol} at {t:.0f} K", p, "Pa", 0.01 * p, by


def databases():
    import pycalphad

    return os.path.join(os.path.dirname(pycalphad.__file__), "tests", "databases")


def activity():
    """Activity coefficient of zinc in liquid copper-zinc by equilibrium of the COST 507 database."""
    from pycalphad import Database, equilibrium, variables as v

    by = made_by("pycalphad") + ", COST507.tdb"
    db = Database(os.path.join(databases(), "COST507.tdb"))

    def potential(x, t):
        eq = equilibrium(db, ["CU", "ZN", "VA"], ["LIQUID"], {v.X("ZN"): x, v.T: t, v.P: 101325, v.N: 1})
        return float(eq.MU.sel(component="ZN").values.squeeze())

    for x, t in [(0.05, 1400.0), (0.10, 1373.15), (0.294, 1273.15), (0.45, 1223.15)]:
        pure = potential(1 - 1e-9, t)
        yield f"gamma Zn x {x} T {t}", math.exp((potential(x, t) - pure) / (R * t)) / x, "", 0.001, by


SILVER_COPPER = """
ELEMENT /- ELECTRON_GAS 0 0 0 !
ELEMENT VA VACUUM 0 0 0 !
ELEMENT AG FCC_A1 107.868 0 0 !
ELEMENT CU FCC_A1 63.546 0 0 !
FUNCTION MAG 298.15 11025.076-8.891021*T-1.034E-20*T**7; 1234.93 Y 11508.141-9.301747*T-1.412E29*T**(-9); 6000 N !
FUNCTION MCU 298.15 12964.736-9.511904*T-5.849E-21*T**7; 1357.77 Y 13495.481-9.922344*T-3.642E29*T**(-9); 6000 N !
PHASE FCC_A1 % 1 1 !
CONSTITUENT FCC_A1 :AG,CU : !
PHASE LIQUID % 1 1 !
CONSTITUENT LIQUID :AG,CU : !
PARAMETER G(FCC_A1,AG;0) 298.15 0; 6000 N !
PARAMETER G(FCC_A1,CU;0) 298.15 0; 6000 N !
PARAMETER G(LIQUID,AG;0) 298.15 MAG#; 6000 N !
PARAMETER G(LIQUID,CU;0) 298.15 MCU#; 6000 N !
PARAMETER L(LIQUID,AG,CU;0) 298.15 17323.40-4.46819*T; 6000 N !
PARAMETER L(LIQUID,AG,CU;1) 298.15 1654.38-2.35285*T; 6000 N !
PARAMETER L(FCC_A1,AG,CU;0) 298.15 36061.88-10.44288*T; 6000 N !
PARAMETER L(FCC_A1,AG,CU;1) 298.15 -4310.12; 6000 N !
"""


def silver_copper():
    """Tie lines of silver-copper at some temperatures: the same assessment, another solver."""
    from pycalphad import Database, equilibrium, variables as v

    by = made_by("pycalphad") + ", parameters of Hayes et al. 1986"
    db = Database(SILVER_COPPER)

    def state(x, t):
        eq = equilibrium(db, ["AG", "CU"], ["LIQUID", "FCC_A1"], {v.X("CU"): x, v.T: t, v.P: 101325, v.N: 1})
        phases = [str(p) for p in eq.Phase.values.squeeze()]
        xs = eq.X.sel(component="CU").values.squeeze()
        return dict(zip(phases, xs)), phases

    def both(t, guesses):
        for x in guesses:
            found, _ = state(x, t)
            if "LIQUID" in found and "FCC_A1" in found:
                return float(found["LIQUID"]), float(found["FCC_A1"])
        raise ValueError(f"no two-phase field at {t}")

    grid = [i / 100 for i in range(1, 100)]
    for t in (1200.0, 1150.0, 1100.0):
        liquid, solid = both(t, grid)
        yield f"liquidus x {liquid:.6f}", t, "K", 0.1, by
        yield f"solidus x {solid:.6f}", t, "K", 0.1, by
    for t in (1150.0, 1250.0):
        liquid, solid = both(t, reversed(grid))
        yield f"liquidus x {liquid:.6f}", t, "K", 0.1, by
        # Below about 1200 K the solubility of silver in copper is retrograde: such an alloy melts again on cooling,
        # so that the temperature below which it stays solid is the eutectic's.
        if t > 1200.0:
            yield f"solidus x {solid:.6f}", t, "K", 0.1, by


def oxide():
    """Oxygen pressure of cuprous oxide over sterling: oxide from cuo.tdb, melt from COST507 and the above."""
    from pycalphad import Database, calculate, equilibrium, variables as v

    by = made_by("pycalphad") + ", cuo.tdb, COST507.tdb, parameters of Hayes et al. 1986"
    cuo = Database(os.path.join(databases(), "cuo.tdb"))
    cost = Database(os.path.join(databases(), "COST507.tdb"))
    agcu = Database(SILVER_COPPER)
    x = 7.5 / 63.546 / (7.5 / 63.546 + 92.5 / 107.868)
    for celsius in (950.0, 1000.0, 1050.0, 1100.0):
        t = celsius + 273.15
        g_oxide = 3 * float(calculate(cuo, ["CU", "O", "VA"], "CU2O", T=t, P=1e5).GM.values.min())
        g_gas = float(calculate(cuo, ["CU", "O", "VA"], "GAS", T=t, P=1e5).GM.values.min())
        g_copper = float(calculate(cost, ["CU", "VA"], "LIQUID", T=t, P=1e5).GM.values.min())
        mix = equilibrium(agcu, ["AG", "CU"], ["LIQUID"], {v.X("CU"): x, v.T: t, v.P: 101325, v.N: 1})
        own = float(calculate(agcu, ["CU"], "LIQUID", T=t, P=1e5).GM.values.min())
        copper = g_copper + float(mix.MU.sel(component="CU").values.squeeze()) - own
        p = math.exp(2 * (g_oxide - 2 * copper - g_gas) / (R * t))
        yield f"cuprous oxide over sterling {celsius:.0f} C", p * 1000, "mbar", 0.05 * p * 1000, by


def integrate_gibbs(method, h0, s0, t):
    h = h0 + method.T_dependent_property_integral(298.15, t)
    return h - t * (s0 + method.T_dependent_property_integral_over_T(298.15, t))


def mould():
    """Gypsum with silica: full integration of heat capacities, wollastonite after Holland and Powell."""
    import chemicals
    from burnman.minerals import HP_2011_ds62
    from thermo.heat_capacity import HeatCapacityGas, HeatCapacitySolid

    by = made_by("chemicals", "thermo", "burnman")

    def solid(cas):
        return HeatCapacitySolid(CASRN=cas, MW=chemicals.MW(cas)), chemicals.Hfs(cas), chemicals.S0s(cas)

    def gas(cas):
        m = HeatCapacityGas(CASRN=cas, MW=chemicals.MW(cas), method="WEBBOOK_SHOMATE")
        return m, chemicals.Hfg(cas), chemicals.S0g(cas)

    sulphate, quartz, so2, o2 = solid("7778-18-9"), solid("14808-60-7"), gas("7446-09-5"), gas("7782-44-7")
    wollastonite = HP_2011_ds62.wo()
    for celsius in (700.0, 850.0, 900.0, 1000.0, 1100.0, 1200.0):
        t = celsius + 273.15
        g = [integrate_gibbs(*m, t) for m in (sulphate, quartz, so2, o2)]
        wollastonite.set_state(1e5, t)
        k = math.exp(-(wollastonite.gibbs + g[2] + g[3] / 2 - g[0] - g[1]) / (R * t))
        total = 1500 * (math.sqrt(2) * k) ** (2 / 3)
        yield f"gypsum with silica {celsius:.0f} C", total, "mbar", 0.15 * total, by


def weighing():
    from CoolProp.CoolProp import HAPropsSI, PropsSI
    from iapws._iapws import _Tension

    by = made_by("CoolProp")
    for t in (4.0, 15.0, 20.0, 25.0, 30.0, 40.0):
        rho = PropsSI("D", "T", t + 273.15, "P", 101325, "Water")
        yield f"water {t:.0f} C", rho, "kg/m3", 0.005, by
    for t, h, p in ((20.0, 0.5, 101325.0), (20.0, 0.5, 95000.0), (25.0, 0.6, 100000.0)):
        args = ("T", t + 273.15, "R", h, "P", p)
        rho = (1 + HAPropsSI("W", *args)) / HAPropsSI("Vda", *args)
        yield f"air {t:.0f} C {h} {p / 100:.2f} mbar", rho, "kg/m3", 0.001, by
    sigma = _Tension(293.15)
    rise = 2 * sigma / (0.001 * 998.2 * 9.80665) * 1000
    yield "water rise 1 mm", rise, "mm", 0.05, made_by("iapws")


def numerics():
    import numpy as np
    from scipy.optimize import brentq
    from scipy.special import j1, jn_zeros

    by = made_by("scipy")
    roots = jn_zeros(0, 60)
    for fo in (0.02, 0.05, 0.1, 0.2, 0.4, 0.6, 1.0):
        yield f"axis {fo}", float(np.sum(2 / (roots * j1(roots)) * np.exp(-roots**2 * fo))), "", 1e-6, by

    def planck(wave, t):
        return 1 / math.expm1(14387.769 / (wave * t))

    for t, wave, set_, true in ((1000, 0.65, 0.3, 0.2), (1000, 0.9, 0.3, 0.2), (1000, 1.6, 0.3, 0.2),
                                (1000, 5.0, 0.3, 0.2), (1000, 0.9, 0.3, 0.6), (1750, 0.65, 0.33, 0.38)):
        want = true * planck(wave, t + 273.15)
        shown = brentq(lambda x: set_ * planck(wave, x) - want, 300, 5000) - 273.15
        yield f"reads {t} {wave} {set_} {true}", shown, "C", 0.01, by


def melting():
    from thermo.heat_capacity import HeatCapacityLiquid, HeatCapacitySolid
    import chemicals

    by = made_by("thermo", "chemicals") + ", SGTE"
    for symbol, cas, pour in (("Ag", "7440-22-4", 1000.0), ("Au", "7440-57-5", 1100.0), ("Cu", "7440-50-8", 1150.0),
                              ("Pt", "7440-06-4", 1850.0), ("Pd", "7440-05-3", 1650.0)):
        mw, tm = chemicals.MW(cas), chemicals.Tm(cas)
        solid = HeatCapacitySolid(CASRN=cas, MW=mw, method="UNARY")
        liquid = HeatCapacityLiquid(CASRN=cas, MW=mw, method="UNARY")
        total = (solid.T_dependent_property_integral(298.15, tm) + chemicals.Hfus(cas)
                 + liquid.T_dependent_property_integral(tm, pour + 273.15)) / mw
        yield f"heat of {symbol} to {pour:.0f} C", total, "kJ/kg", 0.01 * total, by


def plate(flask, half=1e-3, pour=993.0):
    """Explicit differences: half a plate of sterling against a deep mould; seconds until its centre is solid."""
    import numpy as np

    liquidus, solidus, latent, c_l, c_s, rho, k_metal = 893.0, 802.0, 112600.0, 325.0, 309.0, 9150.0, 175.0
    k, a = 725 * math.sqrt(3.8e-7), 3.8e-7
    n, dx = 5, half / 5
    m = 700
    dz = 5e-5
    # Enthalpy per kg against temperature, zero at the solidus, with the latent heat spread evenly over the range.
    molten = c_s * (liquidus - solidus) + latent
    knots_t = np.array([solidus - 1000, solidus, liquidus, liquidus + 1000])
    knots_h = np.array([-1000 * c_s, 0.0, molten, molten + 1000 * c_l])
    h = np.full(n, np.interp(pour, knots_t, knots_h))
    mould = np.full(m, flask)
    dt = 2.5e-4
    time = 0.0
    join = 1 / (dx / 2 / k_metal + dz / 2 / k)
    while True:
        t = np.interp(h, knots_h, knots_t)
        if t[0] <= solidus:
            return time
        q = k_metal * np.diff(t) / dx
        wall = join * (mould[0] - t[-1])
        h += dt / (rho * dx) * (np.append(q, wall) - np.insert(q, 0, 0.0))
        flux = np.diff(mould) * k / dz
        inner = np.insert(flux, 0, wall)
        mould += dt * a / (k * dz) * (np.append(flux, 0.0) - inner)
        time += dt


def freezing():
    by = made_by("numpy") + ", explicit finite differences"
    for flask in (400.0, 500.0, 600.0):
        t = plate(flask)
        yield f"2 mm plate at {flask:.0f} C", t, "s", 0.3 * t, by


def units():
    import pint

    u = pint.UnitRegistry()
    by = made_by("pint")
    for name, text in (("pennyweight", "1 dwt"), ("troy_ounce", "1 ozt"), ("grain", "1 gr"), ("carat", "1 ct"),
                       ("pound", "1 lb"), ("ounce", "1 oz")):
        grams = u.Quantity(1, name).to("g").magnitude
        yield f"{text} in g", grams, "g", 1e-9 * grams, by
    for name, text in (("psi", "1 psi"), ("torr", "1 Torr"), ("mmHg", "1 mmHg"), ("inHg", "1 inHg abs"), ("atm", "1 atm")):
        p = u.Quantity(1, name).to("mbar").magnitude
        yield f"{text} in mbar", p, "mbar", 1e-8 * p, by
    for f in (300, 700, 900, 1000, 1350):
        yield f"{f} F in C", u.Quantity(f, "degF").to("degC").magnitude, "C", 1e-6, by


GROUPS = {f.__name__: f for f in
          (vapour, activity, silver_copper, oxide, mould, weighing, numerics, melting, freezing, units)}


def main():
    chosen = sys.argv[1:] or [g for g in GROUPS if g != "mould"]
    old = json.load(open(OUT)) if os.path.exists(OUT) else []
    entries = [e for e in old if e["group"] not in chosen]
    for group in chosen:
        for name, value, unit, off, by in GROUPS[group]():
            entries.append({"group": group, "name": name, "value": float(f"{value:.9g}"), "unit": unit,
                            "off": float(f"{off:.3g}"), "by": by})
    order = list(GROUPS)
    entries.sort(key=lambda e: order.index(e["group"]))
    with open(OUT, "w") as f:
        json.dump(entries, f, indent=1)
        f.write("\n")
    print(f"{len(entries)} figures in {OUT}")


if __name__ == "__main__":
    main()
