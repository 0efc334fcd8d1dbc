#include "runner/screen/field_composer.h"
#include "support/tolerances.h"

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
    const AdjustmentProblem problem = setup.adjustment(0, 8);
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
    CHECK(&picture.tone_first.get() != &picture.tone_second.get());
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

TEST_CASE("a condition's rings lie beside their halves, lit by the field's source, and else the protocol's") {
    Protocol protocol = read_protocol(ISOSEAM_SOURCE_DIR "/protocols/library/metamer_two_sources.yaml");
    protocol.field.ring_size = Degrees::from_degrees(5.0);
    protocol.ring = protocol.surround;
    protocol.field.parts = GENERATE(FieldParts::halves, FieldParts::spot);
    const bool has_halves = protocol.field.parts == FieldParts::halves;
    if (!has_halves)
        protocol.field.gap = Degrees{};
    std::vector<Calibration> calibrations;
    for (const std::string& path : calibration_paths(protocol, {}))
        calibrations.push_back(read_calibration(path));
    const Setup setup(std::move(protocol), calibrations);
    const FieldComposer composer(setup);
    const FieldLayout layout(setup.protocol().field, viewing_geometry(setup, 0, 1280, 800));
    const auto all_lit = [](int) { return true; };
    FieldLights lights = match_lights(setup);
    CHECK(composer.picture(layout, 8, lights, all_lit).ring.code ==
          composer.picture(layout, 8, lights, all_lit).surround.code);
    CHECK(!composer.picture(layout, 8, lights, all_lit).ring_second);

    const LinearDrive dim{Eigen::Vector3d(0.1, 0.1, 0.1)};
    const LinearDrive bright{Eigen::Vector3d(0.1, 0.8, 0.1)};
    lights.rings = {dim, bright};
    if (!has_halves) {
        CHECK_THROWS_WITH(composer.picture(layout, 8, lights, all_lit),
                          Catch::Contains("a ring of two lights around a field without halves"));
        lights.rings = {bright, bright};
        CHECK(composer.picture(layout, 8, lights, all_lit).ring.linear[1] == 0.8);
        return;
    }
    const FieldPicture picture = composer.picture(layout, 8, lights, all_lit);
    CHECK(picture.ring.linear[1] == 0.1);
    REQUIRE(picture.ring_second);
    CHECK(picture.ring_second->linear[1] == 0.8);
    CHECK(picture.ring_second->code == composer.background(bright, 8));
    const FieldPicture on_adjusted =
        composer.picture(layout, 8, lights, [&](int source) { return source != setup.field_source(); });
    CHECK(on_adjusted.ring.code == kDark);
    CHECK(!on_adjusted.ring_second);
}

TEST_CASE("a hidden mark is asked of the picture") {
    const Setup setup = two_sources();
    FieldLights lights = match_lights(setup);
    const FieldLayout layout(setup.protocol().field, viewing_geometry(setup, 0, 1280, 800));
    const auto picture = [&] {
        return FieldComposer(setup).picture(layout, 8, lights, [](int) { return true; });
    };
    CHECK(!picture().mark_hidden);
    lights.mark_hidden = true;
    CHECK(picture().mark_hidden);
}

TEST_CASE("the field is laid out by viewing distance and the calibration's pixel pitch") {
    const Setup setup = two_sources();
    const ViewingGeometry viewing = viewing_geometry(setup, 0, 1280, 800);
    const FieldLayout layout(setup.protocol().field, viewing);
    // Half the field: 1 degree at 600 mm, on pixels of 0.27 mm.
    CHECK(layout.outer_px() ==
          Approx(600.0 * std::tan(1.0 * 3.14159265358979 / 180.0) / 0.27).epsilon(test::kRoundingOfDoubles));
    CHECK(viewing.centre_x_px == 640.0);
}
