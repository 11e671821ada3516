#include "io/elements_text.hpp"

#include <cmath>
#include <fmt/format.h>

#include "io/report_numbers.hpp"

namespace quern {
namespace {

constexpr const char* letters =
    "V* = V/(N D3) throughput, p* = (dp/dz) D/(eta N) pressure gradient, P* = P/(eta N2 D2 L)\n"
    "power; N speed in turns, D screw diameter, L length. V* = A1 - B p*, P* = P0 - P1 V*.\n"
    "A1: throughput without pressure. B: what a pressure gradient takes from it. P0: power\n"
    "without throughput. P1: what each throughput takes from that.\n";

double liters_per_hour(double m3_per_second) { return 3.6e6 * m3_per_second; }

std::string row(std::string_view name, const std::string& value) { return fmt::format("  {:<25}{}\n", name, value); }

/// " +- 5 %", or nothing when no uncertainty is known or nothing is there to spread.
std::string spread(double share, double value = 1) { return share > 0 && value != 0 ? " +- " + percent(share) : ""; }

std::string characteristics_rows(const ElementFigures& e) {
  std::string text = fmt::format("  {:<25}{:>12}{:>12}{:>12}{:>12}\n", "", "A1", "B", "P0", "P1");
  const auto line = [&](const char* name, const Characteristics& c) {
    text += fmt::format("  {:<25}{:>12.5g}{:>12.5g}{:>12.5g}{:>12.5g}\n", name, c.A1, c.B, c.P0, c.P1);
  };
  if (e.solution && e.solution->block) {
    line("endless run", as_built(e.solution->line, e.mirrored));
    line("block, ends open", as_built(*e.solution->block, e.mirrored));
  }
  line("used for the line", e.flow.line);
  return text;
}

std::string paste_row(const Characteristics& c) {
  return fmt::format("  characteristics = {{ A1 = {:.6g}, B = {:.6g}, P0 = {:.6g}, P1 = {:.6g} }}\n", c.A1, c.B, c.P0,
                     c.P1);
}

std::string trade_rows(const Trial& trial, const ElementFigures& e) {
  const double D = trial.machine.section.screw_diameter, N = trial.screw_speed;
  const ElementUncertainty& u = e.flow.uncertainty;
  std::string text;
  text += row("without pressure",
              fmt::format("{} L/h of melt at {:.0f} rpm{}", significant(liters_per_hour(free_throughput(e, D, N))),
                          N * 60, spread(u.A1, e.flow.line.A1)));
  text +=
      row("without throughput", fmt::format("{} bar over its {} mm, at {}{}", significant(closed_pressure(e, D) / 1e5),
                                            significant(1e3 * e.element.length), Yardstick::words,
                                            spread(std::hypot(u.A1, u.B), e.flow.line.A1)));
  text += row("power without pressure", fmt::format("{} W at {} (P* = {}){}", significant(free_power(e, D)),
                                                    Yardstick::words, significant(power_number(e)), spread(u.power)));
  if (const auto s = power_shares(e))
    text += row("  of which",
                fmt::format("tip lands {}, channel {}, nip {}{}", percent(s->tips), percent(s->channel),
                            percent(s->nip), s->faces > 0 ? ", side faces of discs " + percent(s->faces) : ""));
  return text;
}

std::string rate_rows(const Trial& trial, const ElementFigures& e) {
  const double N = trial.screw_speed;
  if (!e.solution)
    return row("shear rates",
               fmt::format("pressure flow {} /s, power {} /s, under a tip {} /s at {:.0f} rpm",
                           significant(N * e.flow.shear_rate_pressure), significant(N * e.flow.shear_rate_power),
                           significant(N * e.flow.tip_shear_rate), N * 60));
  const ShearRates& r = e.solution->rates;
  std::string text =
      row("shear rates",
          fmt::format("mean {} /s at {:.0f} rpm, of the volume of a full element:", significant(N * r.mean), N * 60));
  text += row("", fmt::format("10 % below {}, half below {}, 90 % below {}, 99 % below {} /s", significant(N * r.p10),
                              significant(N * r.median), significant(N * r.p90), significant(N * r.p99)));
  return text;
}

std::string tracking_rows(const Trial& trial, const ElementFigures& e) {
  if (!e.solution || e.solution->tracked.length <= 0) return "";
  const TrackedFigures& t = e.solution->tracked;
  const double N = trial.screw_speed, mm = 1e3 * trial.machine.section.screw_diameter;
  return row("particles followed",
             fmt::format("at V* = {} over {} mm: mean {} s, 5 % out after {}, 95 % after {} s",
                         significant(t.throughput, 2), significant(t.length * mm), significant(t.time / N),
                         significant(t.time_5 / N), significant(t.time_95 / N))) +
         row("",
             fmt::format("one stirred tank per {} mm; strain {}, {} passes of a tip per D,",
                         significant(t.mixing_length * mm, 2), significant(t.strain), significant(t.tip_passes, 2))) +
         row("", fmt::format("{} of the flow over a tip at least once", percent(t.over_tip)));
}

std::string thinning_rows(const Trial& trial, const ElementFigures& e) {
  if (!e.solution) return "";
  const double N = trial.screw_speed;
  std::string text = fmt::format(
      "\n  Shear-thinning melt (power law of index n): throughput without pressure, beside A1;\n"
      "  and the shear rates, 1/s at {:.0f} rpm, at which its viscosity is read:\n"
      "  {:>6}{:>12}{:>18}{:>18}{:>18}\n",
      N * 60, "n", "throughput", "building pressure", "driven through", "power");
  for (const ThinningFigures& t : e.solution->thinning)
    text +=
        fmt::format("  {:>6.2f}{:>12}{:>18}{:>18}{:>18}\n", t.index, percent(t.throughput),
                    significant(N * t.rate_pressure), significant(N * t.rate_consuming), significant(N * t.rate_power));
  return text;
}

std::string basis_text(FlowBasis basis) {
  return basis == FlowBasis::solved  ? "solved: flow through the unwound bores and the nip, over a turn"
         : basis == FlowBasis::given ? "given: characteristics of the project"
                                     : "estimated: closed formulas, not solved";
}

std::string trust_rows(const ElementFigures& e) {
  const auto three = [](const ElementUncertainty& u) {
    return fmt::format("A1 {}, B {}, power {}", percent(u.A1), percent(u.B), percent(u.power));
  };
  std::string text = row("basis", basis_text(e.flow.basis));
  if (e.flow.basis == FlowBasis::given) return text;
  if (e.solution) {
    text += row("uncertainty, one sigma", three(e.solution->numerical) + ": of the grid");
    text += row("", three(e.solution->model) + ": against 3-D flow");
    if (e.solution->block) text += row("", "half of what the open ends change, for A1 and B");
  }
  text += row(e.solution ? "" : "uncertainty, one sigma", three(e.flow.uncertainty) + ": together");
  text += row("range", e.flow.in_range ? "inside what the method was compared with"
                                       : "OUTSIDE what the method was compared with: take the figures as rough");
  if (e.solution) text += row("balances", fmt::format("close to {:.0e}", e.solution->balance));
  return text;
}

}  // namespace

std::string elements_text(const Trial& trial, std::span<const ElementFigures> elements) {
  const double D = trial.machine.section.screw_diameter, N = trial.screw_speed;
  std::string text = fmt::format("Elements of screw {}, each kind once\n\n", trial.screw.name);
  text +=
      fmt::format("  {:>10}{:>8}{:>8}{:>10}{:>11}{:>9}{:>9}   {}\n", "L/h", "+-", "bar", "W", "A1", "B", "P*", "basis");
  for (const ElementFigures& e : elements) {
    const double u = e.flow.uncertainty.A1;
    text += fmt::format("{}: {}\n", places_text(e.numbers), describe(e.element));
    text += fmt::format("  {:>10}{:>8}{:>8}{:>10}{:>11.4f}{:>9.5f}{:>9}   {}{}\n",
                        significant(liters_per_hour(free_throughput(e, D, N))),
                        u > 0 && e.flow.line.A1 != 0 ? percent(u) : "-", significant(closed_pressure(e, D) / 1e5, 2),
                        significant(free_power(e, D)), e.flow.line.A1, e.flow.line.B, significant(power_number(e)),
                        name_of(e.flow.basis), e.flow.in_range ? "" : ", out of range");
  }
  text += fmt::format(
      "\nL/h: melt carried without pressure at {:.0f} rpm, with its uncertainty (one sigma). bar: built over\n"
      "the element without throughput, W: taken without pressure, both at {}. P* = P0 - P1 A1.\n"
      "quern element PROJECT --number N says more of one.",
      N * 60, Yardstick::words);
  return text;
}

std::string element_text(const Trial& trial, const ElementFigures& e) {
  std::string text = fmt::format("Element{} {} of screw {}: {}\n\n", e.numbers.size() > 1 ? "s" : "",
                                 places_text(e.numbers), trial.screw.name, describe(e.element));
  text += trade_rows(trial, e) + rate_rows(trial, e) + tracking_rows(trial, e);
  text += "\n" + characteristics_rows(e) + "\n" + paste_row(e.flow.line);
  text += thinning_rows(trial, e);
  return text + "\n" + trust_rows(e) + "\n" + letters +
         "Figures are for the element standing full; computed, not measured.";
}

}  // namespace quern
