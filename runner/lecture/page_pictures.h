#pragma once
// Makes drawings in black ink for the pages of a screen.

#include <string>

#include "analysis/figures/figure.h"
#include "stimuli/ink_picture.h"

namespace isoseam {

// Draws a figure by gnuplot, as large as fits into these sides. Throws the MachineErrors of
// analysis/figures/gnuplot.h.
InkPicture figure_picture(const Figure& figure, int at_most_width_px, int at_most_height_px);

// Draws an address as a QR code (ISO/IEC 18004, error correction level M) with its quiet zone of four
// modules. The drawing is at most this wide, and each module is a whole number of pixels. InputError (key
// "address") where the address is too long for this width.
InkPicture address_picture(const std::string& address, int at_most_px);

}  // namespace isoseam
