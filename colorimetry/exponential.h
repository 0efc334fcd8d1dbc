#pragma once
// Computes e^x of many numbers at once. It calls no other function, so that compilers use vector
// instructions. An eye takes some 2,000 exponentials.

#include <Eigen/Core>

namespace isoseam {

// Replaces each x by e^x, with a relative error of at most 4e-16. ISOSEAM_CHECK: the arguments lie from -700
// to 700, since results beyond them leave the range of normal doubles.
void exponentials(Eigen::Ref<Eigen::ArrayXd> x);

}  // namespace isoseam
