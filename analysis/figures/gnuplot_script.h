#pragma once
// This header writes a figure in the words of gnuplot (5.4).

#include <string>

#include "analysis/figures/figure.h"

namespace isoseam {

enum class PictureFormat { svg, png, pdf };

// PNG pictures are for print.
inline constexpr double kPngDotsPerInch = 300.0;

// Gives commands that draw `figure` on standard output. The data stand in the script itself. No text in it
// can be taken by gnuplot for anything but letters.
std::string gnuplot_script(const Figure& figure, PictureFormat format);

// Gives the names of the series in the order in which gnuplot draws their parts. A name stands twice for
// impulses with markers, and it is empty for a panel without series.
std::vector<std::string> names_of_drawn_series(const Figure& figure);

}  // namespace isoseam
