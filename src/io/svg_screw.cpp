#include "io/svg_screw.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <numbers>

#include "io/chart_colour.hpp"
#include "io/svg_screw_faces.hpp"
namespace quern {
namespace {

constexpr int colour_steps = 48;
constexpr double most_slices_per_turn = 28;

/// Fill and colour of the stock at a place.
struct Stock {
  double fill = 0;
  int colour = -1;
};

class StockAlong {
 public:
  StockAlong(const ProfileTable* table, const ColourRange& colours) : table_(table), colours_(colours) {}
  Stock operator()(double z) const {
    if (!table_ || table_->position.empty()) return {};
    const auto& at = table_->position;
    const auto i = static_cast<std::size_t>(std::lower_bound(at.begin(), at.end(), z) - at.begin());
    const std::size_t k = std::min(i, at.size() - 1);
    const double share = std::clamp(colours_.share(table_->temperature[k]), 0.0, 1.0);
    return {table_->fill[k], static_cast<int>(std::lround(share * (colour_steps - 1)))};
  }

 private:
  const ProfileTable* table_;
  ColourRange colours_;
};

/// One station of a turn: what is seen there.
struct Slice {
  double z = 0;
  Seen seen{};
  int colour = -1;
};

std::vector<Slice> slices(const Turn& t, const Profile& p, double C, double least_step, const StockAlong& stock) {
  const double length = t.to - t.from, angle = std::fabs(t.phase_to - t.phase_from);
  const double wanted = std::ceil(most_slices_per_turn * angle / (2 * std::numbers::pi));
  const double most = std::max(1.0, std::floor(length / least_step));
  const int n = static_cast<int>(std::clamp(wanted, 1.0, most));
  std::vector<Slice> list;
  for (int i = 0; i <= n; ++i) {
    const double share = static_cast<double>(i) / n;
    const Stock s = stock(t.from + (n == 1 ? 0.5 : share) * length);
    const double phase = t.phase_from + share * (t.phase_to - t.phase_from);
    const Seen seen = t.ring_radius > 0 ? seen_ring(p, C, t.ring_radius, s.fill) : seen_from_above(p, C, phase, s.fill);
    list.push_back({t.from + share * length, seen, s.colour});
  }
  return list;
}

const Strip* find(const std::vector<Strip>& strips, Face face, int tip) {
  const auto found =
      std::find_if(strips.begin(), strips.end(), [&](const Strip& s) { return s.face == face && s.tip == tip; });
  return found == strips.end() ? nullptr : &*found;
}

/// Drawing layers, from back to front; paths of a layer are gathered into one.
struct Layers {
  std::map<Face, std::string> metal{};
  std::map<int, std::string> stock{};
  std::string lands{}, edges{}, joints{};
};

class Painter {
 public:
  Painter(const ScrewFrame& frame) : frame_(frame), x_(frame.x()) {}

  void turn(const Turn& t, const std::vector<Slice>& s) {
    for (std::size_t screw = 0; screw < 2; ++screw) {
      for (int tip = 0; tip < t.starts; ++tip)
        for (const Face face : {Face::trailing_flank, Face::root, Face::leading_flank, Face::land})
          strip(s, screw, face, tip);
      for (int tip = 0; tip < std::max(t.starts, 2); ++tip) stock(s, screw, tip);
      const bool room_for_ends = x_(t.to) - x_(t.from) > 2.5;
      outline(s, screw, room_for_ends && t.kind != ElementKind::conveying);
    }
  }

  Layers layers{};

 private:
  Dot dot(double z, double y) const { return {x_(z), frame_.middle + y * frame_.across}; }

  void close(std::vector<Dot>& low, std::vector<Dot>& high, std::string& into) const {
    if (low.size() > 1) {
      low.insert(low.end(), high.rbegin(), high.rend());
      into += path_of(low, true);
    }
    low.clear();
    high.clear();
  }

  void strip(const std::vector<Slice>& s, std::size_t screw, Face face, int tip) {
    std::string& into = face == Face::land ? layers.lands : layers.metal[face];
    std::vector<Dot> low, high;
    for (const Slice& slice : s) {
      if (const Strip* seen = find(slice.seen.faces[screw], face, tip)) {
        low.push_back(dot(slice.z, seen->low));
        high.push_back(dot(slice.z, seen->high));
      } else {
        close(low, high, into);
      }
    }
    close(low, high, into);
  }

  // A channel that wraps round the screw may show twice; both parts carry the tip's number and are taken in turn.
  void stock(const std::vector<Slice>& s, std::size_t screw, int tip) {
    for (std::size_t i = 0; i + 1 < s.size(); ++i) {
      const Strip* a = find(s[i].seen.stock[screw], Face::root, tip);
      const Strip* b = find(s[i + 1].seen.stock[screw], Face::root, tip);
      if (!a && !b) continue;
      // Where stock ends within a step it comes to a point.
      const Strip& one = a ? *a : *b;
      const Strip& two = b ? *b : *a;
      const auto point = [](const Strip* p, const Strip& q, bool low) {
        return p ? (low ? p->low : p->high) : (q.low + q.high) / 2;
      };
      std::vector<Dot> low{dot(s[i].z, point(a, two, true)), dot(s[i + 1].z, point(b, one, true))};
      std::vector<Dot> high{dot(s[i].z, point(a, two, false)), dot(s[i + 1].z, point(b, one, false))};
      close(low, high, layers.stock[s[i + 1].colour]);
    }
  }

  void outline(const std::vector<Slice>& s, std::size_t screw, bool with_ends) {
    std::vector<Dot> low, high;
    for (const Slice& slice : s) {
      low.push_back(dot(slice.z, slice.seen.low[screw]));
      high.push_back(dot(slice.z, slice.seen.high[screw]));
    }
    if (with_ends)
      layers.joints += path_of({low.front(), high.front()}, false) + path_of({low.back(), high.back()}, false);
    layers.edges += path_of(low, false) + path_of(high, false);
  }

  ScrewFrame frame_;
  Scale x_;
};

void put_stock(Svg& svg, const std::map<int, std::string>& stock) {
  svg.open_group("id=\"stock\"");
  for (const auto& [colour, d] : stock) {
    const std::string tint = colour_of(static_cast<double>(colour) / (colour_steps - 1));
    svg.path(d, "stock", fmt::format("fill=\"{0}\" stroke=\"{0}\"", tint));
  }
  svg.close_group();
}

// Stock is seen whole between screw and barrel, and through it the metal behind.
void put(Svg& svg, const Layers& layers) {
  if (!layers.stock.empty()) put_stock(svg, layers.stock);
  for (const auto& [face, css] :
       {std::pair{Face::trailing_flank, "flank-dark"}, {Face::root, "root"}, {Face::leading_flank, "flank-light"}})
    if (const auto d = layers.metal.find(face); d != layers.metal.end()) svg.path(d->second, css);
  if (!layers.stock.empty()) svg.raw("<use href=\"#stock\" opacity=\".5\"/>\n");
  svg.path(layers.joints, "joint");
  svg.path(layers.lands, "land");
  svg.path(layers.edges, "edge");
}

}  // namespace

double bore_half_width(const Section& section) { return (section.centre_distance + section.barrel_bore) / 2; }

ColourRange colour_range(const ProfileTable& profile) {
  double low = 1e9, high = -1e9;
  for (const double T : profile.temperature)
    if (std::isfinite(T)) low = std::min(low, T), high = std::max(high, T);
  if (high < low) return {273.15, 293.15};
  const double zero = 273.15;
  return {zero + 10 * std::floor((low - zero) / 10), zero + 10 * std::ceil((high - zero) / 10 + 1e-9)};
}

void draw_screw(Svg& svg, const Trial& trial, const ScrewFrame& frame, const ProfileTable* stock,
                const ColourRange& colours) {
  const Section& section = trial.machine.section;
  const double pixel = (frame.to - frame.from) / (frame.right - frame.left);
  const StockAlong along(stock, colours);
  std::map<int, Profile> profiles;
  Painter painter(frame);
  for (const Turn& t : turns(section, trial.screw)) {
    if (t.to <= frame.from + 1e-9 || t.from >= frame.to - 1e-9) continue;
    if (!profiles.contains(t.starts)) profiles[t.starts] = profile(section, t.starts);
    painter.turn(t, slices(t, profiles[t.starts], section.centre_distance, pixel, along));
  }
  put(svg, painter.layers);
}

}  // namespace quern
