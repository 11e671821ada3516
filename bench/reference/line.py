"""The march of src/machine/march.cpp written plainly in Python: the reference that the benchmark divides by.

usage: line.py DUMP.json   prints a line for each point: shaft power [W], outlet temperature [K], mean residence time [s],
iterations; then the time of one solve [s], the median of three sweeps through the points
"""
import json
import math
import sys
import time

L = json.load(open(sys.argv[1]))
cells, parts, nodes, polymers = L["cells"], L["parts"], L["nodes"], L["polymers"]
D = L["D"]
n = len(cells)


def viscosity(log_rate, T, p):
    log_eta, eta = 0.0, 0.0
    for q in polymers:
        t = max(T - q["D3"] * p, q["T_floor"])
        log_a = q["k0"] + q["k1"] / (t - q["T_vogel"]) + q["k2"] * t + q["beta"] * p
        if q["constant"]:
            eta = q["eta_inf"] + (q["eta0"] - q["eta_inf"]) * math.exp(log_a)
        else:
            u = q["yasuda"] * (q["log_lambda"] + (log_a if q["superposition"] else 0.0) + log_rate)
            b = max(u, 0.0) + math.log1p(math.exp(-abs(u))) if q["plateau"] else u
            eta = q["eta_inf"] + (q["eta0"] - q["eta_inf"]) * math.exp(log_a + (q["n"] - 1) / q["yasuda"] * b)
        log_eta += q["share"] * math.log(eta)
    return L["filler_factor"] * (eta if len(polymers) == 1 else math.exp(log_eta))


def volume(T, p):
    return L["v0"] + L["v_slope"] * (T - L["T_ref"]) - L["compress"] * p


def heat(h):
    u = (h - L["h0"]) / L["step"]
    u = min(max(u, 0.0), len(nodes) - 2.0)
    k = int(u)
    f = u - k
    g = 1 - f
    a, b = nodes[k], nodes[k + 1]
    h0, h1, s0, s1 = (1 + 2 * f) * g * g, f * f * (3 - 2 * f), f * g * g, -f * f * g
    slope = g * a[1] + f * b[1]
    return (h0 * a[0] + h1 * b[0] + s0 * a[1] + s1 * b[1], slope / L["step"],
            h0 * a[2] + h1 * b[2] + s0 * a[3] + s1 * b[3], h0 * a[4] + h1 * b[4] + s0 * a[5] + s1 * b[5],
            (g * a[5] + f * b[5]) / slope)


def thermal(h, p, T_near):
    return heat(h - p * volume(T_near, p)) if p > 0 else heat(h)


def solve(m, N, yield_factor, film_coefficient):
    full, pressure = [0.0] * n, [0.0] * (n + 1)
    last_full, last_step = [0.0] * n, [0.0] * n
    eta, fluid, flow = [0.0] * n, [0.0] * n, [0.0] * n
    log_N, U, rise, last_T, p_die, last_rise = math.log(N), math.pi * D * N, 0.0, 0.0, 0.0, 0.0
    flux_time = math.sqrt(L["film_time"] / (math.pi * L["k_solid"] * L["rho_solid"] * L["cp_solid"] * N))
    melt_heat = L["rho_solid"] * (L["fusion"] / L["polymer_share"] + L["cp_solid"] * max(L["T_melt"] - L["T_feed"], 1.0))
    for k in range(1, L["iterations"] + 1):
        damp = 1.0 if k <= 30 else 0.5 if k <= 60 else 0.2 if k <= 110 else 0.07
        h = L["feed_h"]
        T_near = heat(h)[0]
        X = 1.0 if L["all_liquid"] else heat(h)[2]
        shaft = time_in = chiller = 0.0
        for i in range(n):
            ip, iz, dz = cells[i]
            q = parts[ip]
            p, x = pressure[i], full[i]
            T, dTdh, X_eq, yield_T, yield_slope = thermal(h, p, T_near)
            v = volume(T, p)
            X = 1.0 if L["all_liquid"] or X > 1 - 1e-7 else X
            y = min(max(X / 0.3, 0.0), 1.0)
            w = y * y * (3 - 2 * y)
            V, drag = m * v, q["A1"] * N * D**3
            e_rest = e_tip = e_p = factor = fill_s = 1.0
            power_s = 0.0
            if w > 0:
                e_rest = viscosity(log_N + q["log_k_rest"], T, p)
                e_tip = viscosity(log_N + q["log_k_tip"], T, p)
                e_p = viscosity(log_N + q["log_k_pressure"], T, p)
            if X < 1:
                phi = min((1 - X) * L["solid_volume_share"] / L["phi_max"], 0.95)
                kd = math.exp(-2.5 * L["phi_max"] * math.log(1 - phi))
                factor = min(kd, max(yield_T * yield_factor / (e_rest * q["k_rest"] * N), 1.0))
                e_p *= factor
                if q["forward"]:
                    fill_s = min(m / (L["convey"] * L["bulk_loose"] * q["free_area"] * q["advance"] * N), 1.0)
                else:
                    fill_s = L["packing"] if q["kneading"] else 1.0
                c = L["engage"] if q["kneading"] else L["engage_conveying"]
                film = 2 * c * U * flux_time
                stress = min(yield_T * yield_factor / (1 + film * max(-yield_slope * yield_factor, 0.0)),
                             L["friction"] * L["normal_stress"])
                power_s = c * stress * (U * q["land"] + 2 * math.pi * N * L["centre"] * q["nip_land"]) * fill_s
            free = min(V / drag, 1.0) if drag > 0 else 1.0
            fill_m = x + (1 - x) * free
            fill = w * fill_m + (1 - w) * fill_s
            scale = N * N * D * D
            power = w * (fill_m * scale * factor * (e_tip * q["c_tip"] + e_rest * q["c_rest"])
                         + x * scale * e_p * q["P1"] * (q["A1"] - V / (N * D**3))) + (1 - w) * power_s
            wall = L["zone_T"][iz] + (rise if L["chilled"][iz] else 0.0)
            K = math.sqrt(fill + 1e-12) * (w * film_coefficient + (1 - w) * L["film_solid"]) * q["bore"] * dz
            dh = (power * dz + K * (wall - T)) / (m + K * dTdh)
            bulk = L["bulk_compacted"] if q["kneading"] else L["bulk_loose"]
            tau = q["free_area"] * dz * (w * fill_m / v + (1 - w) * fill_s * bulk) / m
            if not L["all_liquid"]:
                drive = max(max(T, L["zone_T"][iz]) - L["T_melt"], 5.0)
                a = L["action"] if q["kneading"] else L["action_conveying"]
                r = tau * (2 * L["tip_starts"] * N * a * fill * max(drive / 20, 1.0)
                           + 4 * L["nusselt"] * L["k_melt"] * drive / (melt_heat * L["size"] ** 2))
                X = X + (X_eq - X) * r / (1 + r) if X_eq > X else X_eq
            eta[i], fluid[i], flow[i] = e_p, w, V
            shaft += power * dz
            time_in += tau
            if L["chilled"][iz]:
                chiller += max(power * dz - m * dh, 0.0)
            h += dh
            T_near = T + dTdh * dh
        T_end = thermal(h, pressure[n], thermal(h, pressure[n], T_near)[0])[0]
        V_end = m * volume(T_end, pressure[n])
        if L["coolant_capacity"] > 0:
            rise = min(0.5 * chiller / L["coolant_capacity"], 200.0)
        # from the die
        p = 0.0
        if L["die_rate"] > 0:
            rate = max(L["die_rate"] * V_end, 1e-12)
            p = min(L["die_resistance"] * viscosity(math.log(rate), T_end, 0.5 * p_die) * V_end, 1e12)
        p_die, moved = p, 0.0
        up = min(max(p - pressure[n], -2e8), 2e8)
        pressure[n] = p
        residual = 0.0
        out = [0.0] * n
        for i in range(n - 1, -1, -1):
            ip, iz, dz = cells[i]
            q = parts[ip]
            e = eta[i] * math.exp(L["thickening"] * up) if L["thickening"] > 0 else eta[i]
            built = fluid[i] * e * (q["A1"] * N * D**3 - flow[i]) / q["B_D4"] * dz
            before = p - built
            out[i] = 1.0 if before > 0 else min(p / built, 1.0) if built > 0 else 0.0
            p = min(max(before, 0.0), 1e12) * (1 - (1 - fluid[i]) * min(1.0, dz / (0.5 * D)))
            moved = max(moved, abs(p - pressure[i]) / (p + 1e5))
            up = min(max(p - pressure[i], -2e8), 2e8)
            pressure[i] += damp * (p - pressure[i])
            residual = max(residual, abs(out[i] - full[i]))
        residual = max(residual, moved, abs(T_end - last_T) / T_end, abs(rise - last_rise) / 300)
        last_T, last_rise = T_end, rise
        if residual < L["tolerance"]:
            return shaft, T_end, time_in, k
        dot, norm = 0.0, 1e-300
        if k > 1:
            for i in range(n):
                s = damp * (out[i] - full[i])
                c = s - last_step[i]
                dot += s * c
                norm += c * c
        theta = min(max(dot / norm, -1.0), 0.9)
        for i in range(n):
            s = damp * (out[i] - full[i])
            here, last = full[i] + s, last_full[i] + last_step[i]
            last_full[i], last_step[i] = full[i], s
            full[i] = min(max(here - theta * (here - last), 0.0), 1.0)
    raise SystemExit("did not settle")


times = []
for _ in range(3):
    start = time.perf_counter()
    results = [solve(*point) for point in L["points"]]
    times.append((time.perf_counter() - start) / len(results))
for result in results:
    print(*result)
print(sorted(times)[1])
