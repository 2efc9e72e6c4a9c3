// Included once per instruction set by the kernels' sources, which define OVOLO_KERNEL and OVOLO_GROUP.
#if defined(OVOLO_CARVE_GROUP_INL_H) == defined(HWY_TARGET_TOGGLE)
#ifdef OVOLO_CARVE_GROUP_INL_H
#undef OVOLO_CARVE_GROUP_INL_H
#else
#define OVOLO_CARVE_GROUP_INL_H
#endif

#include <type_traits>

#include "hwy/highway.h"

HWY_BEFORE_NAMESPACE();
namespace ovolo {
namespace HWY_NAMESPACE {
inline namespace OVOLO_KERNEL {
namespace hn = hwy::HWY_NAMESPACE;

constexpr int kTile = 64;
using Lanes = hn::CappedTag<float, kTile>;
using Vec = hn::Vec<Lanes>;
constexpr int kLanes = static_cast<int>(hn::MaxLanes(Lanes()));

HWY_INLINE Vec set(float v) { return hn::Set(Lanes(), v); }

/// Several vectors that take each step together: one vector's steps wait for each other, a group's stand side
/// by side. The kernel's source tells how many its registers hold (OVOLO_GROUP) and the namespace for what
/// depends on it (OVOLO_KERNEL).
constexpr int kGroup = OVOLO_GROUP;
struct Group {
  Vec v[kGroup];
};

HWY_INLINE Vec member(Vec v, int) { return v; }
HWY_INLINE Vec member(const Group& g, int k) { return g.v[k]; }

/// op of each vector; what is one vector is shared by all.
template <class Op, class... Operand>
HWY_INLINE Group each(const Op& op, const Operand&... operand) {
  Group out;
  HWY_UNROLL(4)
  for (int k = 0; k < kGroup; ++k) out.v[k] = op(member(operand, k)...);
  return out;
}

template <class... Operand>
concept WithGroup = (std::is_same_v<Operand, Group> || ...);

template <class A, class B>
requires WithGroup<A, B> HWY_INLINE Group Add(const A& a, const B& b) {
  return each([](Vec x, Vec y) HWY_ATTR { return hn::Add(x, y); }, a, b);
}
template <class A, class B>
requires WithGroup<A, B> HWY_INLINE Group Sub(const A& a, const B& b) {
  return each([](Vec x, Vec y) HWY_ATTR { return hn::Sub(x, y); }, a, b);
}
template <class A, class B>
requires WithGroup<A, B> HWY_INLINE Group Mul(const A& a, const B& b) {
  return each([](Vec x, Vec y) HWY_ATTR { return hn::Mul(x, y); }, a, b);
}
template <class A, class B>
requires WithGroup<A, B> HWY_INLINE Group Div(const A& a, const B& b) {
  return each([](Vec x, Vec y) HWY_ATTR { return hn::Div(x, y); }, a, b);
}
template <class A, class B>
requires WithGroup<A, B> HWY_INLINE Group Min(const A& a, const B& b) {
  return each([](Vec x, Vec y) HWY_ATTR { return hn::Min(x, y); }, a, b);
}
template <class A, class B>
requires WithGroup<A, B> HWY_INLINE Group Max(const A& a, const B& b) {
  return each([](Vec x, Vec y) HWY_ATTR { return hn::Max(x, y); }, a, b);
}
template <class A, class B>
requires WithGroup<A, B> HWY_INLINE Group CopySign(const A& a, const B& b) {
  return each([](Vec x, Vec y) HWY_ATTR { return hn::CopySign(x, y); }, a, b);
}
template <class A, class B, class C>
requires WithGroup<A, B, C> HWY_INLINE Group MulAdd(const A& a, const B& b, const C& c) {
  return each([](Vec x, Vec y, Vec z) HWY_ATTR { return hn::MulAdd(x, y, z); }, a, b, c);
}
template <class A, class B, class C>
requires WithGroup<A, B, C> HWY_INLINE Group NegMulAdd(const A& a, const B& b, const C& c) {
  return each([](Vec x, Vec y, Vec z) HWY_ATTR { return hn::NegMulAdd(x, y, z); }, a, b, c);
}
template <class A, class B, class C>
requires WithGroup<A, B, C> HWY_INLINE Group MulSub(const A& a, const B& b, const C& c) {
  return each([](Vec x, Vec y, Vec z) HWY_ATTR { return hn::MulSub(x, y, z); }, a, b, c);
}
HWY_INLINE Group Abs(const Group& a) {
  return each([](Vec x) HWY_ATTR { return hn::Abs(x); }, a);
}
HWY_INLINE Group Sqrt(const Group& a) {
  return each([](Vec x) HWY_ATTR { return hn::Sqrt(x); }, a);
}
HWY_INLINE Group ApproximateReciprocal(const Group& a) {
  return each([](Vec x) HWY_ATTR { return hn::ApproximateReciprocal(x); }, a);
}
HWY_INLINE Group ApproximateReciprocalSqrt(const Group& a) {
  return each([](Vec x) HWY_ATTR { return hn::ApproximateReciprocalSqrt(x); }, a);
}

using Mask = hn::Mask<Lanes>;
struct GroupMask {
  Mask m[kGroup];
};
HWY_INLINE Mask member(Mask m, int) { return m; }
HWY_INLINE Mask member(const GroupMask& g, int k) { return g.m[k]; }

template <class Op, class... Operand>
HWY_INLINE GroupMask each_mask(const Op& op, const Operand&... operand) {
  GroupMask out;
  HWY_UNROLL(4)
  for (int k = 0; k < kGroup; ++k) out.m[k] = op(member(operand, k)...);
  return out;
}

template <class A, class B>
requires WithGroup<A, B> HWY_INLINE GroupMask Lt(const A& a, const B& b) {
  return each_mask([](Vec x, Vec y) HWY_ATTR { return hn::Lt(x, y); }, a, b);
}
template <class A, class B>
requires WithGroup<A, B> HWY_INLINE GroupMask Le(const A& a, const B& b) {
  return each_mask([](Vec x, Vec y) HWY_ATTR { return hn::Le(x, y); }, a, b);
}
template <class A, class B>
requires WithGroup<A, B> HWY_INLINE GroupMask Gt(const A& a, const B& b) {
  return each_mask([](Vec x, Vec y) HWY_ATTR { return hn::Gt(x, y); }, a, b);
}
template <class A, class B>
requires WithGroup<A, B> HWY_INLINE GroupMask Ge(const A& a, const B& b) {
  return each_mask([](Vec x, Vec y) HWY_ATTR { return hn::Ge(x, y); }, a, b);
}
HWY_INLINE GroupMask And(const GroupMask& a, const GroupMask& b) {
  return each_mask([](Mask x, Mask y) HWY_ATTR { return hn::And(x, y); }, a, b);
}
HWY_INLINE GroupMask Or(const GroupMask& a, const GroupMask& b) {
  return each_mask([](Mask x, Mask y) HWY_ATTR { return hn::Or(x, y); }, a, b);
}
template <class A, class B>
HWY_INLINE Group IfThenElse(const GroupMask& m, const A& yes, const B& no) {
  return each([](Mask x, Vec y, Vec n) HWY_ATTR { return hn::IfThenElse(x, y, n); }, m, yes, no);
}
HWY_INLINE bool AllTrue(Lanes d, const GroupMask& g) {
  Mask all = g.m[0];
  for (int k = 1; k < kGroup; ++k) all = hn::And(all, g.m[k]);
  return hn::AllTrue(d, all);
}
HWY_INLINE bool AllFalse(Lanes d, const GroupMask& g) {
  Mask any = g.m[0];
  for (int k = 1; k < kGroup; ++k) any = hn::Or(any, g.m[k]);
  return hn::AllFalse(d, any);
}

/// The mask that comparing such values gives.
template <class V>
using MaskOf = std::conditional_t<std::is_same_v<V, Group>, GroupMask, Mask>;

/// inside where r <= end, else outside.
HWY_INLINE Vec up_to(Vec r, Vec end, Vec inside, Vec outside) {
  return hn::IfThenElse(hn::Le(r, end), inside, outside);
}
template <class A, class B>
requires WithGroup<A, B> HWY_INLINE Group up_to(const Group& r, Vec end, const A& inside, const B& outside) {
  return each([](Vec x, Vec e, Vec in, Vec out) HWY_ATTR { return up_to(x, e, in, out); }, r, end, inside,
              outside);
}

}  // namespace OVOLO_KERNEL
}  // namespace HWY_NAMESPACE
}  // namespace ovolo
HWY_AFTER_NAMESPACE();

#endif
