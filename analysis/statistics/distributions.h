#pragma once
// Quantiles and tail probabilities of the distributions that intervals and tests come from. Degrees of
// freedom are above 0 and finite, probabilities above 0 and below 1 (checked).

namespace isoseam {

// The value that is not exceeded with this probability.
double normal_quantile(double probability);
double student_t_quantile(double probability, double degrees);
double chi_square_quantile(double probability, double degrees);
double f_quantile(double probability, double degrees_above, double degrees_below);

// The probability of a value at least as large; for t, of either sign. The value is not NaN (checked).
double student_t_two_sided_p(double t, double degrees);
double chi_square_upper_p(double chi_square, double degrees);  // value of 0 or more
double f_upper_p(double f, double degrees_above, double degrees_below);

}  // namespace isoseam
