#pragma once
#include <random>

#include "flow/track_field.hpp"
namespace quern {

/// Where in a cell: each in [0, 1].
struct CellPoint {
  double along = 0;
  double axial = 0;
  double depth = 0;  ///< s, share of the gap from the barrel, in the nip from screw 1
};

/// A point of melt on its way through a TrackField.
struct Tracer {
  int interval = 0;   ///< counted from the start of turning; TrackField::intervals of them are stored
  int row = 0;        ///< counted from the first plane on
  int slot = 0;       ///< stored row that stands there now
  int cell = 0;
  CellPoint at{};
  double clock = 0;   ///< since the start of the interval [turns]
  double time = 0;    ///< since it entered [turns]
  double strain = 0;  ///< ∫ shear rate dt
  double tip = 0;     ///< number of the period of the profile it is in, counted along the screw
  int passes = 0;     ///< over tips, net of those back
  bool was_over_tip = false;
};

/// Moves tracers through the first `rows` rows of a field. Both ends are mixed: what leaves through the inlet comes in
/// again in proportion to the flow in, and at the outlet a share equal to what flows back there returns at once.
///
/// In a cell of volume V the flow along is Φ, through its depth s,
///
///   lobe:  Φ = A s(4 - 3s) + q 6s(1 - s),           V ds/dt = (A₁ - A₀) s(1 - s)²
///   nip:   Φ = u(1 - s) - d s + 6s(1 - s)[A + q - (u - d)/2],  s from screw 1, ds/dt by continuity
///
/// and dξ/dt = Φ/V, dζ/dt = q_z 6s(1 - s)/V, with A swept, q flux, q_z axial, u and d the walls of the nip: straight
/// lines from face to face and, for V, in time. This keeps volume exactly. Third-order rule, with V and, in lobes, s(V) exact.
class TracerWalk {
 public:
  /// @param step largest part of a cell in one step
  TracerWalk(const TrackField& field, int rows, double step) : field_(field), rows_(rows), step_(step) {}

  using Random = std::mt19937_64;
  /// A tracer that enters, at a random time of the period, as often in each place as melt flows in there.
  Tracer enter(Random& random) const;
  /// A tracer anywhere, as often as there is volume.
  Tracer anywhere(Random& random) const;
  enum class Event { moved, left };
  /// One step or, at the end of one, into the next cell.
  Event step(Tracer& t, Random& random) const;

 private:
  Tracer begin(Random& random) const;
  double shear(const TrackCell& c, const Tracer& t, const CellPoint& middle, double dt) const;
  void next_interval(Tracer& t) const;
  void cross_along(Tracer& t, Random& random) const;
  Event cross_axial(Tracer& t, Random& random) const;
  void pass_cusp(Tracer& t, int cusp, Random& random) const;
  bool place_in_plane(Tracer& t, bool first, Random& random, double leave) const;
  double outflow(const Tracer& t, bool first) const;
  void count_tips(Tracer& t) const;
  void start_counting(Tracer& t) const;
  int slot_of(int row, int interval) const;
  bool inlet_is_first() const { return field_.throughput > 0; }

  const TrackField& field_;
  int rows_;
  double step_;
};

/// The flow along over the depth of a face, as ∫₀ˢ Φ ds = a₁ s + a₂ s² + a₃ s³. It changes sign at most once.
struct FaceProfile {
  double a1, a2, a3;
  double below(double s) const { return s * (a1 + s * (a2 + s * a3)); }
  double turns_at() const;  ///< where it changes sign; 0 if nowhere
  double on() const;  ///< ∫ of its part > 0
  double back() const { return on() - below(1); }
  /// The depth below which a share of the flow on (or of that back) passes.
  double depth_at(double share, bool forward) const;
};
FaceProfile lobe_face(double swept, double flux);
FaceProfile nip_face(double up, double down, double net);

}  // namespace quern
