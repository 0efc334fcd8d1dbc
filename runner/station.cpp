#include "runner/station.h"

namespace isoseam {
namespace {

constexpr double kWaitSeconds = 0.5;

}  // namespace

Action Station::show_presentation(const Presentation& presentation, PresentationProgress& progress) {
    const double shown_s = show_field(presentation.compared);
    if (progress.next_frame++ == 0)
        progress.first_frame_s = shown_s;
    return wait(kWaitSeconds);
}

}  // namespace isoseam
