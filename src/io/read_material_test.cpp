#include "io/read_material.hpp"

#include <cmath>
#include <doctest/doctest.h>

using namespace quern;
using doctest::Approx;

namespace {

const std::string head = "format = \"quern-material/1\"\n[material.x]\n";
const std::string liquid =
    "state = \"liquid\"\ndensity = \"750 kg/m3\"\nheat_capacity = \"2500 J/kg/K\"\nconductivity = \"0.2 W/m/K\"\n";

Material read(const std::string& body) { return read_materials(head + body, "m.toml", "m.toml").at(0); }
std::string refusal(const std::string& body) {
  try {
    (void)read(body);
  } catch (const InputError& error) {
    return error.what();
  }
  return "";
}
std::string with_viscosity(const std::string& law) { return liquid + "viscosity = { " + law + " }\n"; }

}  // namespace

TEST_CASE("material: a Cross law with an Arrhenius shift is the published one") {
  // by hand: eta0/(1 + (eta0 rate/tau*)^(1-n)) of 1e4, 2e4, 0.3 at 100 1/s is 607.442; 40 kJ/mol from 200 to 230 degC
  // lowers the level by exp(-0.606248) = 0.545393, R = 8.314463
  const Material m =
      read(with_viscosity("model = \"cross\", eta0 = \"1e4 Pa s\", tau_star = \"2e4 Pa\", n = 0.3, "
                          "shift = { law = \"arrhenius\", E = \"40 kJ/mol\", T_ref = \"200 degC\" }"));
  CHECK(viscosity(m.viscosity, 100, 473.15) == Approx(607.442).epsilon(1e-6));
  CHECK(viscosity(m.viscosity, 1e-9, 503.15) == Approx(1e4 * 0.545393).epsilon(1e-5));
}
TEST_CASE("material: the power law of Rao & O'Brien's LDPE gives the printed 373.1 Pa s") {
  // Design Data for Plastics Engineers (1998), 1.3.7.2: K0 exp(-beta T) rate^(n-1), T in degC; 200 degC, 500 1/s
  const Material m =
      read(with_viscosity("model = \"power law\", eta = \"135990 Pa s\", rate = \"1 1/s\", n = 0.3286, "
                          "shift = { law = \"exponential\", b = \"0.00863 1/K\", T_ref = \"0 degC\" }"));
  CHECK(viscosity(m.viscosity, 500, 473.15) == Approx(373.1).epsilon(1e-4));
}
TEST_CASE("material: Tait constants of poly(lactic acid) give the densities computed from its published fit") {
  // Oliaei et al. (2016), J. Mater. Sci. Technol. 32, 710 (read in a re-typed copy): 1084.473 and 1168.091 kg/m3
  const Material m = read(
      "state = \"liquid\"\nheat_capacity = \"2000 J/kg/K\"\nconductivity = \"0.2 W/m/K\"\n"
      "density = { law = \"tait\", b1 = \"8.27e-4 m3/kg\", b2 = \"8.5e-7 m3/kg/K\", b3 = \"163 MPa\", "
      "b4 = \"0.006196 1/K\", b5 = \"361.26 K\" }\nviscosity = { model = \"newtonian\", eta = \"100 Pa s\" }\n");
  CHECK(density(m.density, 473.15) == Approx(1084.473).epsilon(1e-6));
  CHECK(density(m.density, 473.15, 1e8) == Approx(1168.091).epsilon(1e-6));
}
TEST_CASE("material: every number tells its source, the nearest named above it, or the file") {
  const Material m = read(with_viscosity("model = \"newtonian\", eta = \"1000 Pa s\"") +
                          "[material.x.source]\nviscosity = \"by hand\"\n\"density\" = \"a table\"\n");
  const auto source = [&](const std::string& field) {
    for (const Provenance& p : m.provenance)
      if (p.field == field) return p.source + " | " + p.value;
    return std::string("none");
  };
  CHECK(source("viscosity.eta") == "by hand | 1000 Pa s");
  CHECK(source("density") == "a table | 750 kg/m3");
  CHECK(source("conductivity") == "m.toml | 0.2 W/m/K");
}
TEST_CASE("material: a law that gives nonsense where a line can go is refused, each constant being fine") {
  CHECK(refusal("state = \"liquid\"\nheat_capacity = \"2000 J/kg/K\"\nconductivity = \"0.2 W/m/K\"\n"
                "density = { law = \"linear\", rho = \"900 kg/m3\", slope = \"-10 kg/m3/K\", T_ref = \"200 degC\" }\n"
                "viscosity = { model = \"newtonian\", eta = \"100 Pa s\" }\n")
            .find("density: its law leaves") != std::string::npos);
  CHECK(refusal(with_viscosity("model = \"newtonian\", eta = \"1e12 Pa s\", shift = { law = \"exponential\", "
                               "b = \"0.9 1/K\", T_ref = \"900 degC\" }"))
            .find("viscosity: its law gives") != std::string::npos);
  CHECK(
      refusal(with_viscosity("model = \"carreau-yasuda\", eta0 = \"10 Pa s\", eta_inf = \"20 Pa s\", lambda = \"1 s\", "
                             "n = 0.5"))
          .find("not below eta0") != std::string::npos);
}
TEST_CASE("material: what is missing or out of physics is refused by name") {
  CHECK(refusal(liquid).find("material.x.viscosity: missing") != std::string::npos);
  CHECK(refusal("density = \"900 kg/m3\"\n").find("material.x.melting_temperature: missing") != std::string::npos);
  CHECK(refusal("density = \"900 kg/m3\"\n").find("material.x.solid: missing") != std::string::npos);
  CHECK(refusal(with_viscosity("model = \"newtonian\", eta = \"-5 Pa s\"")).find("is not more than 0") !=
        std::string::npos);
  CHECK(refusal(with_viscosity("model = \"crosss\", eta0 = \"5 Pa s\"")).find("did you mean \"cross\"?") !=
        std::string::npos);
  CHECK(refusal(liquid + "hazard = \"mild\"\n").find("is not one of its words") != std::string::npos);
  CHECK(refusal("density = \"30000 kg/m3\"\n").find("is more than 25000 kg/m3") != std::string::npos);
}
TEST_CASE("material: a file of another format is refused") {
  CHECK_THROWS_AS(read_materials("[material.x]\n", "m.toml", ""), InputError);
  CHECK_THROWS_AS(read_materials("format = \"quern-material/2\"\n", "m.toml", ""), InputError);
}
TEST_CASE("material: a melting polymer's law stops short of the solid; one with its pole in the melt is refused") {
  const auto polymer = [](const std::string& T_ref) {
    return "density = \"1050 kg/m3\"\nheat_capacity = \"2000 J/kg/K\"\nconductivity = \"0.17 W/m/K\"\n"
           "melting_temperature = \"100 degC\"\nmelting_width = \"5 K\"\nheat_of_fusion = \"0 J/kg\"\n"
           "viscosity = { model = \"newtonian\", eta = \"1000 Pa s\", shift = { law = \"wlf\", C1 = 8.86, "
           "C2 = \"101.6 K\", T_ref = \"" +
           T_ref +
           "\" } }\n"
           "solid = { density = \"1050 kg/m3\", bulk_loose = \"600 kg/m3\", size = \"3 mm\", "
           "yield_stress = \"60 MPa\", yield_zero_temperature = \"100 degC\", softening_temperature = \"95 degC\" }\n";
  };
  const Material m = read(polymer("123 degC"));  // polystyrene: the pole lies at T_ref - C2, 21.4 degC
  CHECK(m.viscosity.T_floor == Approx(373.15 - 4 * 5));
  CHECK(viscosity(m.viscosity, 1, 200) == viscosity(m.viscosity, 1, 353.15));
  CHECK(refusal(polymer("185 degC")).find("viscosity: its law gives") != std::string::npos);
}
