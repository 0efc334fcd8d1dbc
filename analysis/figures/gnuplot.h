#pragma once
// Draws figures with gnuplot, a program of its own (Debian: gnuplot-nox).
//
// Same figure, same bytes, on one machine: gnuplot reads no settings of the user, locale and time zone are
// fixed, and the date of making is taken out of PDFs. Another version of gnuplot, cairo or the fonts may draw
// otherwise.

#include <string>

#include "analysis/figures/figure.h"
#include "analysis/figures/gnuplot_script.h"

namespace isoseam {

// By the file's extension: .svg, .png or .pdf, in small or capital letters. Throws InputError (key `key`) for
// any other.
PictureFormat picture_format(const std::string& path, const std::string& key = "--picture");

// The picture's bytes. Throws MachineError when `program` cannot be started or complains; with gnuplot's own
// words.
std::string drawn(const Figure& figure, PictureFormat format, const std::string& program = "gnuplot");

}  // namespace isoseam
