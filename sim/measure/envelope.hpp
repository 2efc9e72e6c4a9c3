#pragma once
#include <vector>

#include "sim/measure/features.hpp"
#include "sim/measure/section.hpp"

namespace ovolo {

/// Heights along a ray that a closed form does not give.
class SlopedHeights {
 public:
  virtual ~SlopedHeights() = default;
  /// Height left by a sloped move at u mm along the ray; +inf out of its reach.
  virtual double sloped(std::uint32_t move, double u) const = 0;
  /// What the sheet's own shape adds to a move's height at u.
  virtual double shift(std::uint32_t move, double u) const = 0;
  /// False when `shift` is 0 everywhere for this move.
  virtual bool shifted(std::uint32_t move) const = 0;
};

/// Lower envelope of features and the face z = 0 over [0, u_max]. Buffers are kept between calls.
class Envelope {
 public:
  /// Pieces from u = 0 to u_max; only move, face and shape are filled in.
  std::vector<SectionPiece> solve(const std::vector<Feature>& features, const SlopedHeights& heights,
                                  double u_max);

 private:
  // One smooth run of one feature: a single piece of the profile, distance monotone.
  struct Atom {
    double u0, u1;
    double g0, g1;  // heights at the ends
    std::uint32_t feature;
    std::int32_t piece;  // of the profile; -1 for a sloped move, -2 for the face
    bool exact;          // a line or an arc in (u, z)
  };
  struct Run {
    double u0, u1;
    const Atom* atom;
  };

  double height(const Atom& atom, double u) const;
  void split(const Feature& feature, std::uint32_t id, double u_max);
  void add_crossings(const Atom& a, const Atom& b, double u0, double u1);
  void lowest_between(double u0, double u1);
  SectionPiece shape(const Run& run, double u0, double u1) const;
  bool same_curve(const Atom& a, const Atom& b, double u0, double u1) const;

  const std::vector<Feature>* features_ = nullptr;
  const SlopedHeights* heights_ = nullptr;
  std::vector<Atom> atoms_;
  std::vector<double> cuts_, marks_, inner_;
  std::vector<const Atom*> active_, kept_;
  std::vector<Run> runs_;
  Atom face_{};
};

}  // namespace ovolo
