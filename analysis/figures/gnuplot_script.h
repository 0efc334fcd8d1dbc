#pragma once
// A figure in the words of gnuplot (5.4).

#include <string>

#include "analysis/figures/figure.h"

namespace isoseam {

enum class PictureFormat { svg, png, pdf };

// PNG pictures are for print.
inline constexpr double kPngDotsPerInch = 300.0;

// Commands that draw `figure` on standard output. Data stand in the script; there is no text in it that
// gnuplot would take for more than letters.
std::string gnuplot_script(const Figure& figure, PictureFormat format);

// The names of the series in the order in which gnuplot draws their parts: twice for impulses with markers,
// and empty for a panel without series.
std::vector<std::string> names_of_drawn_series(const Figure& figure);

}  // namespace isoseam
