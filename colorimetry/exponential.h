#pragma once
// e^x of many numbers at once, without calls, so that compilers use vector instructions: an eye is some 2,000
// of them.

#include <Eigen/Core>

namespace isoseam {

// Replaces each x by e^x. Relative error at most 4e-16. Arguments from -700 to 700 (checked): beyond them
// results leave the range of normal doubles.
void exponentials(Eigen::Ref<Eigen::ArrayXd> x);

}  // namespace isoseam
