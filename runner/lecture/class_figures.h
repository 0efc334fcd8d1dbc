#pragma once
// Draws what a class answered, and what a reveal tells, as figures.

#include <string>
#include <vector>

#include "analysis/figures/figure.h"
#include "protocols/lectures/lecture_setup.h"
#include "runner/lecture_room/lecture_room.h"

namespace isoseam {

// Each choice, numbered from 1, is one bar with its count above it. `label` says what is counted.
Figure choices_figure(const std::vector<int>& counts, const std::string& label);

// The answers to one slider, with the slider's words.
struct ClassSlider {
    std::string ask;
    std::string low;
    std::string high;
    SliderSpread spread;
};
std::vector<ClassSlider> class_sliders(const Lecture& lecture, const Scene& scene,
                                       const std::vector<SliderSpread>& spreads, const std::string& language);
// Each slider is a histogram, and they stand side by side. A dashed line marks the median.
Figure sliders_figure(const std::vector<ClassSlider>& sliders, const std::string& label);

// Draws the spectra of the lights, and what the revealed cones catch of them.
Figure reveal_figure(const Revealed& revealed, const Observer& observer);

}  // namespace isoseam
