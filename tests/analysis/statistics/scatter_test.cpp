// Ellipses of settings and Hotelling's test, against figures computed by an independent program in another
// language (tests/published/O9_match_ellipses.json says how).

#include "analysis/statistics/scatter.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <nlohmann/json.hpp>
#include <vector>

#include "base/random.h"
#include "support/file_bytes.h"
#include "support/tolerances.h"

using namespace isoseam;

namespace {

nlohmann::json oracle() {
    return nlohmann::json::parse(
        test::file_bytes(ISOSEAM_SOURCE_DIR "/tests/published/O9_match_ellipses.json"));
}

std::vector<Eigen::Vector3d> settings_lms(const nlohmann::json& published) {
    std::vector<Eigen::Vector3d> settings;
    for (const auto& lms : published["settings_LMS"])
        settings.emplace_back(lms[0].get<double>(), lms[1].get<double>(), lms[2].get<double>());
    return settings;
}

std::vector<Eigen::Vector2d> in_xy(const nlohmann::json& published) {
    Eigen::Matrix3d xyz_from_lms;
    for (int i = 0; i < 3; ++i)
        for (int k = 0; k < 3; ++k)
            xyz_from_lms(i, k) = published["LMS_to_CIE1931_XYZ_cd_m2"][static_cast<std::size_t>(i)]
                                          [static_cast<std::size_t>(k)];
    std::vector<Eigen::Vector2d> points;
    for (const Eigen::Vector3d& lms : settings_lms(published)) {
        const Eigen::Vector3d xyz = xyz_from_lms * lms;
        points.push_back(xyz.head<2>() / xyz.sum());
    }
    return points;
}

std::vector<Eigen::Vector2d> in_ls(const nlohmann::json& published) {
    const auto scale = published["macleod_boynton_scale_lms"].get<std::vector<double>>();
    std::vector<Eigen::Vector2d> points;
    for (const Eigen::Vector3d& lms : settings_lms(published)) {
        const double luminance = scale[0] * lms[0] + scale[1] * lms[1];
        points.emplace_back(scale[0] * lms[0] / luminance, scale[2] * lms[2] / luminance);
    }
    return points;
}

void check_ellipse(const Ellipse& ellipse, const nlohmann::json& published, bool angle) {
    CHECK(ellipse.semi_major == Approx(published["semi_major"].get<double>()).epsilon(1e-6));
    CHECK(ellipse.semi_minor == Approx(published["semi_minor"].get<double>()).epsilon(1e-6));
    if (angle)
        CHECK(ellipse.angle_deg ==
              Approx(published["angle_deg_of_major_from_first_axis_[0,180)"].get<double>()).margin(1e-4));
}

const nlohmann::json& ellipse_named(const nlohmann::json& ellipses, const std::string& beginning) {
    for (const auto& [name, ellipse] : ellipses.items()) {
        if (name.rfind(beginning, 0) == 0)
            return ellipse;
    }
    FAIL(beginning);
    return ellipses;
}

}  // namespace

TEST_CASE("ellipses of each kind are those of an independent program, in xy and in l and s") {
    const nlohmann::json published = oracle();
    for (const auto& [key, points] :
         {std::pair("CIE1931_xy", in_xy(published)), std::pair("MacLeod_Boynton_ls", in_ls(published))}) {
        const nlohmann::json& ellipses = published[key]["ellipses"];
        const std::optional<Scatter> scatter = scatter_of(points);
        REQUIRE(scatter);
        CHECK(scatter->count == 60);
        for (std::size_t i = 0; i < 2; ++i)
            CHECK(scatter->mean[static_cast<Eigen::Index>(i)] ==
                  Approx(published[key]["mean"][i].get<double>()).epsilon(1e-9));
        const bool angle = std::string(key) == "CIE1931_xy";
        check_ellipse(standard_ellipse(*scatter), ellipse_named(ellipses, "1_SD"), angle);
        check_ellipse(ellipse_of(*scatter, EllipseKind::of_settings),
                      ellipse_named(ellipses, "95_percent_of_settings"), angle);
        check_ellipse(ellipse_of(*scatter, EllipseKind::of_next_setting),
                      ellipse_named(ellipses, "95_percent_prediction"), angle);
        check_ellipse(ellipse_of(*scatter, EllipseKind::of_mean),
                      ellipse_named(ellipses, "95_percent_confidence"), angle);
        CHECK(standard_ellipse(*scatter).nearly_round == false);
    }
}

TEST_CASE("two settings have no ellipse, and settings on one line no test") {
    const std::vector<Eigen::Vector2d> line{{0.0, 0.0}, {1.0, 2.0}, {2.0, 4.0}, {3.0, 6.0}};
    CHECK_FALSE(scatter_of(std::span(line).first(2)).has_value());
    const std::optional<Scatter> scatter = scatter_of(line);
    REQUIRE(scatter);
    CHECK_FALSE(scatter->from_origin.has_value());
    CHECK(standard_ellipse(*scatter).semi_minor == Approx(0.0).margin(1e-9));
    CHECK(standard_ellipse(*scatter).angle_deg ==
          Approx(63.4349488229).epsilon(test::kRoundingOfDoubles));  // atan 2
}

// The binomial bounds let one run in 10^9 fail by chance.
TEST_CASE(
    "the ellipse of the mean holds the truth in 95 of 100 data sets, that of the next setting the next one") {
    constexpr int kSets = 1000;
    constexpr std::uint64_t kSettings = 8;
    const RandomStream random{17, 7010};
    std::uint64_t draw = 0;
    int mean_held = 0;
    int next_held = 0;
    int rejected = 0;
    const auto point = [&] {
        const double a = random.normal(draw++);
        const double b = random.normal(draw++);
        return Eigen::Vector2d(0.003 * a, 0.001 * a + 0.0005 * b);
    };
    for (int set = 0; set < kSets; ++set) {
        std::vector<Eigen::Vector2d> points;
        for (std::uint64_t i = 0; i < kSettings; ++i)
            points.push_back(point());
        const Scatter scatter = *scatter_of(points);
        const auto holds = [&](EllipseKind kind, const Eigen::Vector2d& x) {
            const Ellipse ellipse = ellipse_of(scatter, kind);
            const double angle = ellipse.angle_deg * 3.14159265358979323846 / 180.0;
            const Eigen::Vector2d d = x - scatter.mean;
            const double u = std::cos(angle) * d[0] + std::sin(angle) * d[1];
            const double v = -std::sin(angle) * d[0] + std::cos(angle) * d[1];
            return std::pow(u / ellipse.semi_major, 2) + std::pow(v / ellipse.semi_minor, 2) <= 1.0;
        };
        mean_held += holds(EllipseKind::of_mean, Eigen::Vector2d::Zero()) ? 1 : 0;
        next_held += holds(EllipseKind::of_next_setting, point()) ? 1 : 0;
        rejected += scatter.from_origin->p < 0.05 ? 1 : 0;
    }
    // 950 +- 6.1 standard deviations of 6.9.
    CHECK(std::abs(mean_held - 950) < 42);
    CHECK(std::abs(next_held - 950) < 42);
    CHECK(rejected == kSets - mean_held);  // the test and the ellipse of the mean are one
}
