#pragma once
// This header gives quantiles and tail probabilities of the distributions that intervals and tests need.
// Degrees of freedom must be above 0 and finite, and probabilities above 0 and below 1 (checked).

namespace isoseam {

// Gives the value that is not exceeded with this probability.
double normal_quantile(double probability);
double student_t_quantile(double probability, double degrees);
double chi_square_quantile(double probability, double degrees);
double f_quantile(double probability, double degrees_above, double degrees_below);

// Gives the share of a standard normal distribution that lies below z.
double normal_share(double z);

// Gives the probability of a value that is at least as large. For t, values of both signs count. The value
// must not be NaN (checked).
double student_t_two_sided_p(double t, double degrees);
double chi_square_upper_p(double chi_square, double degrees);  // value of 0 or more
double f_upper_p(double f, double degrees_above, double degrees_below);

}  // namespace isoseam
