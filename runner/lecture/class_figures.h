#pragma once
// What a class answered, and what a reveal tells, as figures.

#include <string>
#include <vector>

#include "analysis/figures/figure.h"
#include "protocols/lectures/lecture_setup.h"
#include "runner/lecture_room/lecture_room.h"

namespace isoseam {

// One bar a choice, numbered from 1, with its count above. `label`: what is counted.
Figure choices_figure(const std::vector<int>& counts, const std::string& label);

// One slider's answers, with its words.
struct ClassSlider {
    std::string ask;
    std::string low;
    std::string high;
    SliderSpread spread;
};
std::vector<ClassSlider> class_sliders(const Lecture& lecture, const Scene& scene,
                                       const std::vector<SliderSpread>& spreads, const std::string& language);
// A histogram each, side by side, the median as a dashed line.
Figure sliders_figure(const std::vector<ClassSlider>& sliders, const std::string& label);

// The lights' spectra, and what the cones that are revealed catch of them.
Figure reveal_figure(const Revealed& revealed, const Observer& observer);

}  // namespace isoseam
