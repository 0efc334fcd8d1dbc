#pragma once
// Figures are drawn by gnuplot, which is a separate program (Debian: gnuplot-nox).
//
// The same figure gives the same bytes on one machine: gnuplot reads no settings of the user, locale and time
// zone are fixed, and the date of making is taken out of PDFs. Another version of gnuplot, cairo or the fonts
// may draw the figure differently.

#include <string>

#include "analysis/figures/figure.h"
#include "analysis/figures/gnuplot_script.h"

namespace isoseam {

// The format follows from the file's extension: .svg, .png or .pdf, in small or capital letters. Throws an
// InputError (key `key`) for any other extension.
PictureFormat picture_format(const std::string& path, const std::string& key = "--picture");

// Gives the picture's bytes. Throws a MachineError, with gnuplot's own words, when `program` cannot be
// started or complains.
std::string drawn(const Figure& figure, PictureFormat format, const std::string& program = "gnuplot");

}  // namespace isoseam
