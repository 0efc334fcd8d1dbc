#pragma once
// Drawings for the pages of a screen, in black ink.

#include <string>

#include "analysis/figures/figure.h"
#include "stimuli/ink_picture.h"

namespace isoseam {

// A figure by gnuplot, as large as fits into these sides. MachineErrors of analysis/figures/gnuplot.h.
InkPicture figure_picture(const Figure& figure, int at_most_width_px, int at_most_height_px);

// An address as a QR code (ISO/IEC 18004, error correction level M) with its quiet zone of four modules, at
// most so wide; a module is a whole number of pixels. InputError (key "address") where it is too long for
// that.
InkPicture address_picture(const std::string& address, int at_most_px);

}  // namespace isoseam
