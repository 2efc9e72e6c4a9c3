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

using Mask = hn::Mask<Lanes>;
struct GroupMask {
  Mask m[kGroup];
};

/// The k-th of what an operand holds; a single vector is shared by all.
HWY_INLINE Vec member(Vec v, int) { return v; }
HWY_INLINE Vec member(const Group& g, int k) { return g.v[k]; }
HWY_INLINE Mask member(const GroupMask& g, int k) { return g.m[k]; }

template <class... Operand>
concept WithGroup = ((std::is_same_v<Operand, Group> || std::is_same_v<Operand, GroupMask>) || ...);

/// op of each vector.
template <class Op, class... Operand>
HWY_INLINE Group each(const Op& op, const Operand&... operand) {
  Group out;
  HWY_UNROLL(4)
  for (int k = 0; k < kGroup; ++k) out.v[k] = op(member(operand, k)...);
  return out;
}
template <class Op, class... Operand>
HWY_INLINE GroupMask each_mask(const Op& op, const Operand&... operand) {
  GroupMask out;
  HWY_UNROLL(4)
  for (int k = 0; k < kGroup; ++k) out.m[k] = op(member(operand, k)...);
  return out;
}

// The library's operations for groups: their names and arguments, one group among them at least.
#define OVOLO_FOR_GROUPS(NAME, RESULT, EACH)                                           \
  template <class... Operand>                                                          \
  requires WithGroup<Operand...> HWY_INLINE RESULT NAME(const Operand&... operand) {   \
    return EACH([](const auto&... x) HWY_ATTR { return hn::NAME(x...); }, operand...); \
  }
OVOLO_FOR_GROUPS(Add, Group, each)
OVOLO_FOR_GROUPS(Sub, Group, each)
OVOLO_FOR_GROUPS(Mul, Group, each)
OVOLO_FOR_GROUPS(Div, Group, each)
OVOLO_FOR_GROUPS(Min, Group, each)
OVOLO_FOR_GROUPS(Max, Group, each)
OVOLO_FOR_GROUPS(Abs, Group, each)
OVOLO_FOR_GROUPS(Sqrt, Group, each)
OVOLO_FOR_GROUPS(CopySign, Group, each)
OVOLO_FOR_GROUPS(MulAdd, Group, each)
OVOLO_FOR_GROUPS(MulSub, Group, each)
OVOLO_FOR_GROUPS(NegMulAdd, Group, each)
OVOLO_FOR_GROUPS(IfThenElse, Group, each)
OVOLO_FOR_GROUPS(ApproximateReciprocal, Group, each)
OVOLO_FOR_GROUPS(ApproximateReciprocalSqrt, Group, each)
OVOLO_FOR_GROUPS(Lt, GroupMask, each_mask)
OVOLO_FOR_GROUPS(Le, GroupMask, each_mask)
OVOLO_FOR_GROUPS(Gt, GroupMask, each_mask)
OVOLO_FOR_GROUPS(Ge, GroupMask, each_mask)
OVOLO_FOR_GROUPS(And, GroupMask, each_mask)
OVOLO_FOR_GROUPS(Or, GroupMask, each_mask)
#undef OVOLO_FOR_GROUPS

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

/// inside where r <= end, else outside.
HWY_INLINE Vec up_to(Vec r, Vec end, Vec inside, Vec outside) {
  return hn::IfThenElse(hn::Le(r, end), inside, outside);
}
template <class... Operand>
requires WithGroup<Operand...> HWY_INLINE Group up_to(const Operand&... operand) {
  return each([](Vec r, Vec end, Vec in, Vec out) HWY_ATTR { return up_to(r, end, in, out); }, operand...);
}

}  // namespace OVOLO_KERNEL
}  // namespace HWY_NAMESPACE
}  // namespace ovolo
HWY_AFTER_NAMESPACE();

#endif
