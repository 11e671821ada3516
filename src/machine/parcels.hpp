#pragma once
#include <cstdint>
#include <span>
#include <vector>

#include "machine/stations.hpp"
namespace quern {

/// An ensemble of parcels of equal mass, sampled through a solved line.
struct Parcels {
  std::size_t count = 0;
  // shape (stations, parcels)
  std::vector<float> time{};             ///< [s]
  std::vector<float> energy{};           ///< [J/kg]
  std::vector<std::uint16_t> passes{};   ///< over a tip land
  // shape (parcels)
  std::vector<double> total_time{};      ///< [s]
  std::vector<double> total_energy{};    ///< [J/kg]
};

/// Draws each parcel's time in each station from the station's residence time distribution; how often it is drawn over a
/// tip from a Poisson law whose mean goes with that time, each time with tip_repeat passes in a row; and its energy: the tips' share by passes, the rest by time. So the means of time
/// and energy are the line's within sampling error, and the times of the whole have the line's E(t).
///
/// Stations are taken as independent: a parcel that was fast before may be slow here.
/// @param seed same seed, same parcels
Parcels sample_parcels(std::span<const Station> stations, std::size_t count, std::uint64_t seed);

/// The history of one parcel: the station's exposure with its own time, energy and passes.
History history_of(std::span<const Station> stations, const Parcels& parcels, std::size_t parcel);

/// The history of the mean parcel.
History mean_history(std::span<const Station> stations);

}  // namespace quern
