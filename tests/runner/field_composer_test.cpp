#include "runner/field_composer.h"

#include <catch2/catch.hpp>

using namespace isoseam;

namespace {

Setup two_sources() {
    Protocol protocol = read_protocol(ISOSEAM_SOURCE_DIR "/protocols/library/metamer_two_sources.yaml");
    std::vector<Calibration> calibrations;
    for (const std::string& path : calibration_paths(protocol, {}))
        calibrations.push_back(read_calibration(path));
    return Setup(std::move(protocol), calibrations);
}

// Both halves at the predicted match of the first condition.
FieldLights match_lights(const Setup& setup) {
    const AdjustmentProblem problem = setup.problem(0, 8);
    FieldLights lights;
    lights.halves[static_cast<std::size_t>(setup.reference_half())] = setup.reference(0);
    lights.halves[static_cast<std::size_t>(setup.protocol().adjusted)] =
        stimulus_at(problem, Eigen::VectorXd::Zero(static_cast<Eigen::Index>(problem.axes.size()))).linear;
    return lights;
}

constexpr std::array<std::uint16_t, 3> kDark{};

}  // namespace

TEST_CASE("on one screen both halves and the surround are lit, each through its own calibration") {
    const Setup setup = two_sources();
    const FieldComposer composer(setup);
    const FieldLayout layout(setup.protocol().field, viewing_geometry(setup, 0, 1280, 800));
    const FieldPicture picture = composer.picture(layout, 8, match_lights(setup), [](int) { return true; });
    CHECK(picture.first.code != kDark);
    CHECK(picture.second.code != kDark);
    CHECK(picture.surround.code != kDark);
    CHECK(picture.first.code !=
          picture.second.code);  // a metamer match: alike for the eye, not for the frame buffer
    CHECK(picture.tone_first != picture.tone_second);
}

TEST_CASE("on two screens each shows its own half, and only the reference half's screen the surround") {
    const Setup setup = two_sources();
    const FieldComposer composer(setup);
    const FieldLayout layout(setup.protocol().field, viewing_geometry(setup, 0, 1280, 800));
    const FieldLights lights = match_lights(setup);
    const int reference = setup.field_source();
    const FieldPicture on_reference =
        composer.picture(layout, 8, lights, [&](int source) { return source == reference; });
    const FieldPicture on_adjusted =
        composer.picture(layout, 8, lights, [&](int source) { return source != reference; });
    REQUIRE(setup.reference_half() == Half::first);
    CHECK(on_reference.first.code != kDark);
    CHECK(on_reference.second.code == kDark);
    CHECK(on_reference.surround.code != kDark);
    CHECK(on_adjusted.first.code == kDark);
    CHECK(on_adjusted.second.code != kDark);
    CHECK(on_adjusted.surround.code == kDark);
    CHECK(on_adjusted.fixation.code == kDark);
}

TEST_CASE("the field is laid out by viewing distance and the calibration's pixel pitch") {
    const Setup setup = two_sources();
    const ViewingGeometry viewing = viewing_geometry(setup, 0, 1280, 800);
    const FieldLayout layout(setup.protocol().field, viewing);
    // Half the field: 1 degree at 600 mm, on pixels of 0.27 mm.
    CHECK(layout.outer_px() == Approx(600.0 * std::tan(1.0 * 3.14159265358979 / 180.0) / 0.27));
    CHECK(viewing.centre_x_px == 640.0);
}
