#!/usr/bin/python3
"""disc_edge_table.py           writes src/flow/disc_edge_table.hpp
disc_edge_table.py --check   solves again, compares with that file, and measures the error between its nodes

Needs Debian's python3-numpy and python3-scipy. Theory and the meaning of the numbers: docs/theory/disc-edges.md.

One cell: z from the middle of the deep disc (-L) over the edge (0) to the middle of the shallow one (L), y from the
barrel (0) up to the screw, 1 over the deep half, alpha over the shallow one; 2 L = 1/eta. Three energies are minimised
in the same finite elements, cubic Hermite polynomials in z times the same in y, graded towards the corner (0, alpha):
  pressure flow along the edge   ½∫|∇u|² - ∫u,  u = 0 on all walls
  drag along the edge            ½∫|∇u|²,       u = 1 on screw and face, 0 on the barrel
  pressure flow across the edge  ½∫(∇²ψ)²,      ψ = 1 on screw and face, 0 on the barrel, ∂ψ/∂n = 0 on both
"""
import pathlib
import re
import sys

import numpy as np
import scipy.sparse as sp
import scipy.sparse.linalg as sla

TABLE = pathlib.Path(__file__).resolve().parent.parent / "src/flow/disc_edge_table.hpp"
ANGLE = np.linspace(np.arcsin(0.1), np.pi / 2, 10)  # nodes in arcsin √alpha: closer at both ends
ETA = np.linspace(0.0, 2.4, 9)
LEAST_ETA = 0.2   # stands for 0: what the mid-planes change dies off as exp(-2π L)
SMALLEST_STEP = 0.001  # stands for none where a limit is taken
NAMES = ("along_deep", "along_shallow", "drag_deep", "drag_shallow", "across", "shear")
ROUNDING = 2e-5  # figures of the file have five decimals


def graded(start, end, first, largest, ratio=1.5):
    """Breakpoints from start to end; cells grow by ratio from the first to the largest."""
    length = abs(end - start)
    sizes = [min(first, length)]
    while sum(sizes) < length * (1 - 1e-12):
        sizes.append(min(sizes[-1] * ratio, largest))
    places = np.concatenate([[0.0], np.cumsum(sizes)]) / sum(sizes)
    return start + (end - start) * places


def halved(x):
    return np.sort(np.concatenate([x, (x[1:] + x[:-1]) / 2]))


class Line:
    """Cubic Hermite elements on breakpoints: unknowns are value and slope at each. Integrals of products of the
    shape functions (mass), of their first (stiffness) and second derivatives (bending), and of themselves (load)."""

    def __init__(self, x):
        n = len(x)
        g, w = np.polynomial.legendre.leggauss(4)
        g, w = (g + 1) / 2, w / 2
        value = np.array([1 - 3*g**2 + 2*g**3, g - 2*g**2 + g**3, 3*g**2 - 2*g**3, g**3 - g**2])
        slope = np.array([6*g**2 - 6*g, 1 - 4*g + 3*g**2, 6*g - 6*g**2, 3*g**2 - 2*g])
        curve = np.array([12*g - 6, 6*g - 4, 6 - 12*g, 6*g - 2])
        self.mass, self.stiffness, self.bending = (sp.lil_matrix((2*n, 2*n)) for _ in range(3))
        self.load = np.zeros(2*n)
        for e, h in enumerate(np.diff(x)):
            scale, at = np.array([1, h, 1, h]), slice(2*e, 2*e + 4)
            for matrix, shape, power in ((self.mass, value, 1), (self.stiffness, slope, -1), (self.bending, curve, -3)):
                block = (shape * w) @ shape.T * np.outer(scale, scale) * h**power
                matrix[at, at] = matrix[at, at].toarray() + block
            self.load[at] += value @ w * scale * h


def placed(matrix, size, offset):
    m = matrix.tocoo()
    return sp.csr_matrix((m.data, (m.row + offset, m.col + offset)), shape=(size, size))


def placed_vector(v, size, offset):
    return np.concatenate([np.zeros(offset), v, np.zeros(size - offset - len(v))])


class Cell:
    """The two half discs as blocks of one tensor grid; nodes above the shallow half are fixed at zero."""

    def __init__(self, alpha, eta, refined):
        self.alpha, self.L = alpha, 0.5 / eta
        first = 0.015 * min(alpha, 1 - alpha, self.L)
        z_deep = graded(0, -self.L, first, 0.15)[::-1]
        z_shallow = graded(0, self.L, first, self.L)
        y_low = graded(alpha, 0, first, alpha / 6)[::-1]
        y_high = graded(alpha, 1, first, 0.15)
        if refined:
            z_deep, z_shallow, y_low, y_high = map(halved, (z_deep, z_shallow, y_low, y_high))
        z, y = np.concatenate([z_deep, z_shallow[1:]]), np.concatenate([y_low, y_high[1:]])
        self.shape = (len(z), 2, len(y), 2)  # node and value or slope in z, the same in y
        self.edge, self.corner = len(z_deep) - 1, len(y_low) - 1
        self.assemble(Line(z_deep), Line(z_shallow), Line(y), Line(y_low))
        self.mark()

    def assemble(self, deep, shallow, high, low):
        nz, ny, at = 2 * self.shape[0], 2 * self.shape[2], 2 * self.edge

        def integral(in_z, in_y):
            return (sp.kron(placed(getattr(deep, in_z), nz, 0), getattr(high, in_y)) +
                    sp.kron(placed(getattr(shallow, in_z), nz, at), placed(getattr(low, in_y), ny, 0))).tocsr()

        self.gradient = integral("stiffness", "mass") + integral("mass", "stiffness")
        self.laplacian = (integral("bending", "mass") + integral("mass", "bending") +
                          2 * integral("stiffness", "stiffness"))
        self.deep = np.kron(placed_vector(deep.load, nz, 0), high.load)
        self.shallow = np.kron(placed_vector(shallow.load, nz, at), placed_vector(low.load, ny, 0))

    def mark(self):
        i, j = np.meshgrid(np.arange(self.shape[0]), np.arange(self.shape[2]), indexing="ij")
        self.outside = (i > self.edge) & (j > self.corner)
        self.barrel = j == 0
        self.screw = ((j == self.shape[2] - 1) & (i <= self.edge)) | ((j == self.corner) & (i >= self.edge))
        self.face = (i == self.edge) & (j >= self.corner)
        self.middle = (i == 0) | (i == self.shape[0] - 1)

    def minimise(self, matrix, load, fixed, wall):
        values = np.zeros(self.shape)
        values[:, 0, :, 0] = np.where(self.screw | self.face, wall, 0.0)
        x, free = values.ravel(), ~fixed.ravel()
        symmetric = sla.splu(matrix[free][:, free].tocsc(), permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0,
                             options={"SymmetricMode": True})
        x[free] = symmetric.solve((load - matrix @ x)[free])
        return x

    def along(self, source, wall):
        """∇²u = -source, u given on the walls, so that its derivative along them is zero."""
        fixed = np.zeros(self.shape, bool)
        for dz in (0, 1):
            for dy in (0, 1):
                flat = (self.barrel | self.screw) & (dy == 0)
                fixed[:, dz, :, dy] = self.outside | flat | (self.face & (dz == 0))
        return self.minimise(self.gradient, source * (self.deep + self.shallow), fixed, wall)

    def across(self):
        """∇⁴ψ = 0: no slip on the walls; v_y = -∂ψ/∂z = 0 on the mid-planes, uniform pressure there is natural."""
        fixed = np.zeros(self.shape, bool)
        wall = self.outside | self.barrel | self.screw | self.face
        fixed[:, 0], fixed[:, 1] = wall[:, :, None], (wall | self.middle)[:, :, None]
        return self.minimise(self.laplacian, np.zeros(fixed.size), fixed, 1.0)

    def factors(self):
        """As DiscEdge names them."""
        a, L = self.alpha, self.L
        u, v, psi = self.along(1.0, 0.0), self.along(0.0, 1.0), self.across()
        resistance = psi @ self.laplacian @ psi / 12  # dissipation at unit flow
        return np.array([self.deep @ u * 12 / L, self.shallow @ u * 12 / (L * a**3), self.deep @ v * 2 / L,
                         self.shallow @ v * 2 / (L * a), (resistance - L - L / a**3) * a**2,
                         v @ self.gradient @ v - L - L / a])


def lone_step(a):
    """Fringing capacitance of a step between plates, Whinnery & Jamieson (1944), value from memory; here rearranged."""
    return ((1 - a)**2 / a * np.log((1 + a) / (1 - a)) + 2 * np.log((1 + a)**2 / (4 * a))) / np.pi


def to_table(factors, a, eta):
    """What varies gently, by the step 1 - a: displacements in units of the half's own depth; rest over lone step."""
    f = factors
    return np.array([(f[0] - 1) / (2*eta), (f[1] - 1) / (2*eta*a), (f[2] - 1) / (2*eta), (f[3] - 1) / (2*eta*a), f[4],
                     f[5] - lone_step(a)]) / (1 - a)


def from_table(row, a, eta):
    r = row * (1 - a)
    return np.array([1 + 2*eta*r[0], 1 + 2*eta*a*r[1], 1 + 2*eta*r[2], 1 + 2*eta*a*r[3], r[4], r[5] + lone_step(a)])


def node(alpha, eta):
    a, eta = min(alpha, 1 - SMALLEST_STEP), max(eta, LEAST_ETA)
    fine, coarse = (to_table(Cell(a, eta, refined).factors(), a, eta) for refined in (True, False))
    if a < alpha:
        fine[4:] = coarse[4:] = 0  # they vanish with the square of the step
    return fine, np.abs(fine - coarse)


def solve_table():
    nodes = [[node(np.sin(angle)**2, eta) for eta in ETA] for angle in ANGLE]
    table, change = (np.array([[n[k] for n in row] for row in nodes]) for k in (0, 1))
    print("largest change of a tabulated number from one mesh to the next, halved one:")
    for name, worst in zip(NAMES, change.max(axis=(0, 1))):
        print(f"  {name:14}{worst:.1e}")
    return table


HEAD = """#pragma once
#include <array>
namespace quern {

// Written by tools/disc_edge_table.py; docs/theory/disc-edges says what the numbers are.
constexpr int edge_rows = %d;  // arcsin √(h_s/h_d) from least_ratio to 1 in equal steps
constexpr int edge_columns = %d;  // h_d/w from 0 in equal steps to edge_last
constexpr double least_ratio = %g, edge_last = %g;

// Displacements over 1 - h_s/h_d: pressure flow deep, shallow, drag deep, shallow, flow across, shear.
constexpr std::array<std::array<std::array<double, 6>, edge_columns>, edge_rows> edge_table{{
"""


def write(table):
    lines = []
    for row in table:
        figures = ["{" + ", ".join(f"{x + 0.0:.5f}" for x in n) + "}" for n in row]
        lines.append("    {{" + ",\n      ".join(figures) + "}},\n")
    head = HEAD % (len(ANGLE), len(ETA), np.sin(ANGLE[0])**2, ETA[-1])
    TABLE.write_text(head + "".join(lines) + "}};\n\n}  // namespace quern\n", encoding="utf-8")


def read():
    body = TABLE.read_text(encoding="utf-8").split("edge_table{{")[1]
    figures = [float(x) for x in re.findall(r"-?\d+\.\d+", body)]
    return np.array(figures).reshape(len(ANGLE), len(ETA), len(NAMES))


def cubic(x, nodes):
    """First of the four nearest nodes and the weights of the cubic through them; x in steps."""
    first = min(max(int(x) - 1, 0), nodes - 4)
    t = x - first
    return first, np.array([-(t-1)*(t-2)*(t-3)/6, t*(t-2)*(t-3)/2, -t*(t-1)*(t-3)/2, t*(t-1)*(t-2)/6])


def interpolated(table, a, eta):
    i, wa = cubic((np.arcsin(np.sqrt(a)) - ANGLE[0]) / (ANGLE[1] - ANGLE[0]), len(ANGLE))
    j, we = cubic((eta - ETA[0]) / (ETA[1] - ETA[0]), len(ETA))
    return from_table(np.einsum("i,j,ijk", wa, we, table[i:i+4, j:j+4]), a, eta)


def error_between_nodes(table):
    """Largest error of the factors at the middles of the table's meshes, where a cubic is worst."""
    worst = np.zeros(len(NAMES))
    for angle in (ANGLE[1:] + ANGLE[:-1]) / 2:
        alpha = np.sin(angle)**2
        for eta in (ETA[1:] + ETA[:-1]) / 2:
            exact = Cell(alpha, eta, True).factors()
            worst = np.maximum(worst, np.abs(interpolated(table, alpha, eta) - exact))
    print("largest error of the factors between nodes:")
    for name, error in zip(NAMES, worst):
        print(f"  {name:14}{error:.1e}")


def check():
    shipped = read()
    apart = np.abs(solve_table() - shipped).max()
    error_between_nodes(shipped)
    print(f"shipped table is within {apart:.1e} of this one")
    return 0 if apart < ROUNDING else 1


def main():
    if sys.argv[1:] == ["--check"]:
        return check()
    if sys.argv[1:]:
        print(__doc__, file=sys.stderr)
        return 64
    write(solve_table())
    return 0


if __name__ == "__main__":
    sys.exit(main())
