#include "runner/rehearsal/setting_noise.h"

#include <Eigen/LU>
#include <catch2/catch.hpp>
#include <cmath>

#include "colorimetry/colour_space.h"
#include "colorimetry/population.h"
#include "results_schema/session_folder.h"
#include "runner/rehearsal/published_ellipses.h"
#include "runner/rehearsal/simulated_station.h"
#include "runner/session/session_flow.h"
#include "runner/station/shown_records.h"
#include "support/sixty_settings.h"
#include "support/temporary_folder.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

// Colours about a centre, in standard deviations of an ellipse along its axes: uncorrelated, of variance 1,
// if the ellipse is theirs. Each bound is five standard errors (normal deviates; one false alarm in 1.7
// million a check) and what else may add.
void check_ellipse(const std::vector<Eigen::Vector2d>& colours, const MatchEllipse& ellipse,
                   const Eigen::Vector2d& centre, double further) {
    const double n = static_cast<double>(colours.size());
    const Eigen::Matrix2d whitening = covariance_root(ellipse).inverse();
    Eigen::Vector2d mean = Eigen::Vector2d::Zero();
    for (const Eigen::Vector2d& colour : colours)
        mean += whitening * (colour - centre) / n;
    Eigen::Matrix2d covariance = Eigen::Matrix2d::Zero();
    for (const Eigen::Vector2d& colour : colours) {
        const Eigen::Vector2d from_mean = whitening * (colour - centre) - mean;
        covariance += from_mean * from_mean.transpose() / (n - 1.0);
    }
    INFO("mean " << mean.transpose() << "\ncovariance\n" << covariance);
    CHECK(mean.cwiseAbs().maxCoeff() <= 5.0 / std::sqrt(n) + further);
    CHECK(std::abs(covariance(0, 0) - 1.0) <= 5.0 * std::sqrt(2.0 / (n - 1.0)) + further);
    CHECK(std::abs(covariance(1, 1) - 1.0) <= 5.0 * std::sqrt(2.0 / (n - 1.0)) + further);
    CHECK(std::abs(covariance(0, 1)) <= 5.0 / std::sqrt(n - 1.0) + further);
}

Eigen::Vector2d chromaticity_of(const Xyz& xyz) {
    const Chromaticity read = xyy_from_xyz(xyz).chromaticity;
    return {read.x, read.y};
}

}  // namespace

TEST_CASE("contrasts drawn from an ellipse, set by any eye on a screen, are that ellipse in x, y") {
    const Setup setup = sixty_settings();
    const DisplayModel& display = setup.solver(0).display();
    const RandomStream stream{3, kStreamSimulatedSetting};
    for (const std::uint64_t index : {1, 2}) {
        const Observer observer(sampled_eye(setup.observer().parameters(), 8, index).eye);
        const EyeOnScreen eye(observer, display);
        const DriveSolver solver(display, observer);  // the way back, by itself
        for (const int condition : {0, 3}) {
            const LinearDrive light = setup.reference(condition);
            const Eigen::Vector2d centre = chromaticity_of(display.xyz(light));
            const Eigen::Matrix3d root = noise_root({.kind = NoiseKind::ellipses}, eye, light);
            std::vector<Eigen::Vector2d> colours;
            double squares = 0.0;
            constexpr std::uint64_t kSettings = 4000;
            for (std::uint64_t i = 0; i < kSettings; ++i) {
                const Eigen::Vector3d contrast =
                    root *
                    Eigen::Vector3d(stream.normal(3 * i), stream.normal(3 * i + 1), stream.normal(3 * i + 2));
                const Eigen::Vector3d wanted =
                    eye.lms(light).cwiseProduct(Eigen::Vector3d::Ones() + contrast);
                const Xyz xyz = display.xyz(solver.solve(Lms::from_vector(wanted)).linear);
                colours.push_back(chromaticity_of(xyz));
                squares += std::pow(std::log(xyz.y / display.xyz(light).y), 2.0);
            }
            // Chromaticity is not linear in contrast: a change of luminance by 1 % changes steps in x, y by 1
            // %.
            constexpr double kSecondOrder = 0.005;
            check_ellipse(colours, nearest_ellipse(centre[0], centre[1]), centre, kSecondOrder);
            CHECK(std::sqrt(squares / kSettings) == Approx(0.01).epsilon(5.0 / std::sqrt(2.0 * kSettings)));
        }
    }
}

TEST_CASE("settings of whole sessions give the ellipse of their reference back") {
    std::string text;
    {
        std::ifstream file(ISOSEAM_SOURCE_DIR "/protocols/library/precision_one_screen.yaml");
        text.assign(std::istreambuf_iterator<char>(file), {});
    }
    const auto replace = [&](const std::string& from, const std::string& to) {
        REQUIRE(text.find(from) != std::string::npos);
        text.replace(text.find(from), from.size(), to);
    };
    replace("name: grey, reference: grey, repeats: 6", "name: grey, reference: grey, repeats: 400");
    replace("L-M: {fine: 0.4 %", "L-M: {fine: 0.02 %");
    replace("L+M: {fine: 2 %", "L+M: {fine: 0.05 %");
    replace("S: {fine: 3 %", "S: {fine: 0.2 %");
    const Setup setup = setup_from(text, ISOSEAM_SOURCE_DIR "/protocols/library/precision_one_screen.yaml");
    const TemporaryFolder out;
    SimulatedStation station(setup, 4, 1, {.noise = {.kind = NoiseKind::ellipses}}, DitherKind::ordered);
    SessionHeader header = describe_session(setup, 4, station);
    header.participant = "simulated";
    header.kind = "rehearsal";
    header.started_utc = "2000-01-01T00:00:00.000Z";
    header.simulated_observer = station.description();
    SessionLog log = SessionLog::create(out.path(), header, Durability::with_others);
    run_session(setup, 4, {}, station, log, [](const std::string&) {});
    const DisplayModel& display = setup.solver(0).display();
    std::vector<Eigen::Vector2d> colours;
    for (const SettingRecord& setting : read_session_folder(log.folder()).settings) {
        if (setting.condition == "grey")
            colours.push_back(chromaticity_of(display.xyz(LinearDrive{Eigen::Map<const Eigen::VectorXd>(
                setting.adjusted.linear.data(),
                static_cast<Eigen::Index>(setting.adjusted.linear.size()))})));
    }
    REQUIRE(colours.size() == 400);
    const Eigen::Vector2d centre = chromaticity_of(display.xyz(setup.reference(0)));
    // A hand that stops within a fine step adds its variance, and leans by up to half a step.
    constexpr double kFineSteps = 0.1;
    check_ellipse(colours, nearest_ellipse(centre[0], centre[1]), centre, kFineSteps);
}

TEST_CASE("noise by cones is what was asked for, and words for noise are listed") {
    const Setup setup = sixty_settings();
    const EyeOnScreen eye(setup.observer(), setup.solver(0).display());
    const Eigen::Matrix3d root = noise_root({.l = 0.1, .m = 0.2, .s = 0.3}, eye, setup.reference(0));
    CHECK(root == Eigen::Matrix3d(Eigen::Vector3d(0.1, 0.2, 0.3).asDiagonal()));
    CHECK(parse_noise("ellipses") == NoiseKind::ellipses);
    CHECK_THROWS_WITH(parse_noise("circles"),
                      Catch::Contains("unknown noise 'circles'") && Catch::Contains("write cones"));
}
