#pragma once
// This figure shows the colours that a screen can show, in two chromaticity diagrams side by side.

#include <cstddef>
#include <string>
#include <vector>

#include "analysis/figures/figure.h"
#include "colorimetry/observer.h"

namespace isoseam {

// One diagram holds named points and says which of the primaries, in order, are the corners of the gamut.
struct GamutDiagram {
    struct Point {
        std::string name;
        double x = 0.0;
        double y = 0.0;
    };
    std::vector<Point> primaries;
    std::vector<Point> others;         // marked with an open circle, such as white
    std::vector<std::size_t> outline;  // indices into primaries, three or more
};

// The line of the spectrum in u' and v' of CIE 1976, closed by the line of purples.
Series uv_prime_spectrum(const std::string& name, int first_nm, int last_nm, int step_nm);

// The left diagram shows u' and v' of CIE 1976. The right one shows MacLeod-Boynton l and s of `observer`. In
// each, the line of the spectrum is drawn in grey. In u', v' the axes hold the whole line. In l, s they
// follow the gamut, because s falls from 1 to 0 along the spectrum while screens stay near the middle of l.
Figure gamut_figure(const std::string& screen, const Observer& observer, const GamutDiagram& uv_prime,
                    const GamutDiagram& macleod_boynton);

}  // namespace isoseam
