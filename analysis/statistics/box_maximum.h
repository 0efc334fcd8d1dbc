#pragma once
// The highest point of a function over a box of one to four dimensions: a coarse grid, then the simplex
// method of Nelder & Mead (1965) from its best points. It is made for likelihoods, whose ridges and steps
// defeat derivatives.
//
// It is our own because it misses fewer maxima than general-purpose searches do: of 300 small sets of answers
// it found the highest likelihood in all, and in 94.7 % where guess and lapse are free; NLopt 2.7's BOBYQA,
// from the best point of the same grid, found it in 98.7 and 91.7 %, SLSQP and COBYLA in fewer
// (tests/bench/optimisers.cpp).

#include <functional>
#include <vector>

namespace isoseam {

struct BoxDimension {
    double low = 0.0;
    double high = 1.0;
    std::vector<double> grid;  // starting points, within low .. high; at least one
    double step = 0.1;         // of the first simplex, above 0
};

struct BoxMaximum {
    std::vector<double> at;
    double value = 0.0;  // minus infinity if the function is so at every point of the grid
};

// `dimensions` may be empty: then the function's value there. The function may be minus infinity, not NaN.
BoxMaximum maximum_in_box(const std::function<double(const std::vector<double>&)>& function,
                          const std::vector<BoxDimension>& dimensions);

}  // namespace isoseam
