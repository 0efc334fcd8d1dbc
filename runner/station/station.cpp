#include "runner/station/station.h"

namespace isoseam {
namespace {

constexpr double kWaitSeconds = 0.5;

}  // namespace

FrameDepth Station::depth(int source) const {
    const SourceRecord record = sources()[static_cast<std::size_t>(source)];
    return {record.bits, parse_dither(record.dither)};
}

Action Station::show_presentation(const Presentation& presentation, PresentationProgress& progress) {
    const double shown_s = show_field(presentation.compared);
    if (progress.next_frame++ == 0)
        progress.first_frame_s = shown_s;
    return wait(kWaitSeconds);
}

}  // namespace isoseam
