#include "analysis/summaries/shown_lights.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/errors.h"
#include "calibration/interaction_model.h"
#include "colorimetry/colour_space.h"

namespace isoseam {
namespace {

Eigen::VectorXd vector_of(std::span<const double> linear) {
    return Eigen::Map<const Eigen::VectorXd>(linear.data(), static_cast<Eigen::Index>(linear.size()));
}

[[noreturn]] void refuse(const char* key, const std::string& found) {
    throw InputError(Fault{"", 0, 0, key, found, "give the record as the session wrote it"});
}

void check_drives(std::span<const double> linear, Eigen::Index primaries) {
    if (static_cast<Eigen::Index>(linear.size()) != primaries)
        refuse("linear", fmt::format("{} drives for a screen of {} primaries", linear.size(), primaries));
}

template <class Screens>
auto& of_source(const Screens& by_source, const std::string& source) {
    const auto found = std::find_if(by_source.begin(), by_source.end(),
                                    [&source](const auto& entry) { return entry.first == source; });
    if (found == by_source.end())
        refuse("source", fmt::format("the session has no source '{}'", source));
    return *found->second;
}

}  // namespace

bool had_late_frames(const std::optional<FramesRecord>& frames) {
    return frames && frames->late + frames->dropped > 0;
}

template <class Response>
ScreenResponse::ScreenResponse(const DisplayModel& display, Eigen::Matrix3Xd from_linear,
                               const Eigen::Vector3d& black, const Response& response)
    : from_linear_(std::move(from_linear)), interactions_(display.calibration().interactions), black_(black) {
    from_products_.resize(3, static_cast<Eigen::Index>(interactions_.size()));
    for (std::size_t k = 0; k < interactions_.size(); ++k)
        from_products_.col(static_cast<Eigen::Index>(k)) = response(interactions_[k].spectrum).vector();
}

ScreenResponse ScreenResponse::of_xyz(const DisplayModel& display) {
    return {display, display.xyz_from_linear(), display.black_xyz().vector(),
            [](const Spectrum& light) { return tristimulus(light); }};
}

ScreenResponse ScreenResponse::of_lms(const DisplayModel& display, const Observer& observer) {
    return {display, display.lms_from_linear(observer), display.black_lms(observer).vector(),
            [&](const Spectrum& light) { return observer.excitations(light); }};
}

Eigen::Vector3d ScreenResponse::at(std::span<const double> linear) const {
    check_drives(linear, from_linear_.cols());
    Eigen::Vector3d sum = black_;
    for (std::size_t i = 0; i < linear.size(); ++i)
        sum += linear[i] * from_linear_.col(static_cast<Eigen::Index>(i));
    if (!interactions_.empty())
        sum += from_products_ * interaction_products(interactions_, vector_of(linear));
    return sum;
}

KnownScreens::Screen& KnownScreens::screen(const StoredText& calibration) {
    std::unique_ptr<Screen>& screen = by_sha256_[calibration.sha256];
    if (!screen) {
        const DisplayModel display(parse_calibration(calibration.text, calibration.file));
        screen = std::make_unique<Screen>(Screen{display, ScreenResponse::of_xyz(display), {}});
    }
    return *screen;
}

const ScreenResponse& KnownScreens::lms(Screen& screen, const Observer& observer) {
    const std::string eye = observer.description();
    auto found = screen.lms.find(eye);
    if (found == screen.lms.end())
        found = screen.lms.emplace(eye, ScreenResponse::of_lms(screen.display, observer)).first;
    return found->second;
}

ShownLights::ShownLights(const SessionHeader& header, KnownScreens& screens) : known_(&screens) {
    for (const SourceRecord& source : header.sources) {
        const auto stored = header.calibrations.find(source.calibration);
        if (stored == header.calibrations.end())
            refuse("calibrations", fmt::format("the calibration of source '{}' is not there", source.name));
        by_source_.emplace_back(source.name, &screens.screen(stored->second));
    }
}

const DisplayModel& ShownLights::display(const HalfRecord& half) const {
    return of_source(by_source_, half.source).display;
}

void ShownLights::check(const HalfRecord& half) const {
    check_drives(half.linear, display(half).primary_count());
}

Spectrum ShownLights::spectrum(const HalfRecord& half) const {
    check(half);
    return display(half).spectrum(LinearDrive{vector_of(half.linear)});
}

Xyz ShownLights::xyz(const HalfRecord& half) const {
    return Xyz::from_vector(of_source(by_source_, half.source).xyz.at(half.linear));
}

Lms ShownLights::Excitations::lms(const HalfRecord& half) const {
    return Lms::from_vector(of_source(by_source_, half.source).at(half.linear));
}

ShownLights::Excitations ShownLights::caught_by(const Observer& observer) const {
    Excitations excitations;
    for (const auto& [source, screen] : by_source_)
        excitations.by_source_.emplace_back(source, &known_->lms(*screen, observer));
    return excitations;
}

Lms ShownLights::lms(const HalfRecord& half, const Observer& observer) const {
    return caught_by(observer).lms(half);
}

}  // namespace isoseam
