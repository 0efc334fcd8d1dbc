#include "colorimetry/pooled_cardinal_contrast.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <random>

#include "colorimetry/colour_space.h"
#include "support/error_text.h"

using namespace isoseam;
using isoseam::test::input_error_text;

namespace {

constexpr double kRounding = 1e-12;
const double kNan = std::numeric_limits<double>::quiet_NaN();

const Observer& observer() {
    static const Observer result = Observer::cie170(Degrees::from_degrees(2), Years::from_years(32));
    return result;
}

// Positive excitations over many powers of ten.
class Numbers {
  public:
    explicit Numbers(unsigned seed) : random_(seed) {}
    Lms background() { return {positive(5.0), positive(5.0), positive(5.0)}; }
    Eigen::Vector3d signed_values(double powers) {
        Eigen::Vector3d values;
        for (double& value : values) {
            value = std::copysign(positive(powers), sign_(random_));
        }
        return values;
    }

  private:
    double positive(double powers) {
        return std::pow(10.0, std::uniform_real_distribution<double>(-powers, powers)(random_));
    }
    std::mt19937 random_;
    std::uniform_real_distribution<double> sign_{-1.0, 1.0};
};

}  // namespace

TEST_CASE("1 on one axis alone is a cone contrast of length 1") {
    Numbers numbers(1);
    for (int trial = 0; trial < 100; ++trial) {
        const Lms background = numbers.background();
        for (int axis = 0; axis < 3; ++axis) {
            for (const double amount : {1.0, -0.02}) {
                const auto contrast =
                    PooledCardinalContrast::from_vector(amount * Eigen::Vector3d::Unit(axis));
                CHECK(cone_contrast_from_pooled_cardinal(contrast, background, observer()).length() ==
                      Approx(std::abs(amount)).epsilon(kRounding));
            }
        }
    }
}

TEST_CASE("each axis changes what it is named for and nothing else") {
    Numbers numbers(2);
    for (int trial = 0; trial < 100; ++trial) {
        const Lms background = numbers.background();
        const auto before = macleod_boynton_from_lms(background, observer());
        const auto after = [&](const PooledCardinalContrast& contrast) {
            return macleod_boynton_from_lms(lms_from_pooled_cardinal(contrast, background, observer()),
                                            observer());
        };
        const auto brighter = after({.luminance = 0.1});
        CHECK(brighter.luminance_cd_m2 ==
              Approx(before.luminance_cd_m2 * (1.0 + 0.1 / std::sqrt(3.0))).epsilon(kRounding));
        CHECK(brighter.l == Approx(before.l).epsilon(kRounding));
        CHECK(brighter.s == Approx(before.s).epsilon(kRounding));
        const auto more_l = after({.l_minus_m = 0.1});
        CHECK(more_l.luminance_cd_m2 == Approx(before.luminance_cd_m2).epsilon(kRounding));
        CHECK(more_l.l > before.l);
        CHECK(more_l.s == Approx(before.s).epsilon(kRounding));
        const auto more_s = after({.s = 0.1});
        CHECK(more_s.luminance_cd_m2 == Approx(before.luminance_cd_m2).epsilon(kRounding));
        CHECK(more_s.l == Approx(before.l).epsilon(kRounding));
        CHECK(more_s.s == Approx(before.s * 1.1).epsilon(kRounding));
    }
}

TEST_CASE("cardinal contrasts there and back, negative and extreme ones too") {
    Numbers numbers(3);
    for (int trial = 0; trial < 1000; ++trial) {
        const Lms background = numbers.background();
        const Eigen::Vector3d values = numbers.signed_values(30.0);
        const double bound = kRounding * values.cwiseAbs().maxCoeff();
        const auto cardinal = PooledCardinalContrast::from_vector(values);
        const ConeContrast cones = cone_contrast_from_pooled_cardinal(cardinal, background, observer());
        CHECK((pooled_cardinal_contrast(cones, background, observer()).vector() - values)
                  .cwiseAbs()
                  .maxCoeff() <= bound);
        const auto there =
            pooled_cardinal_contrast(ConeContrast::from_vector(values), background, observer());
        CHECK((cone_contrast_from_pooled_cardinal(there, background, observer()).vector() - values)
                  .cwiseAbs()
                  .maxCoeff() <= bound);
        const Lms target = Lms::from_vector(numbers.signed_values(5.0));
        const auto between_lights = pooled_cardinal_contrast(target, background, observer());
        const Eigen::Vector3d missed =
            lms_from_pooled_cardinal(between_lights, background, observer()).vector() - target.vector();
        // Of contrasts, so of each excitation as a part of its background's.
        CHECK(missed.cwiseQuotient(background.vector()).cwiseAbs().maxCoeff() <=
              kRounding * (1.0 + cone_contrast(target, background).vector().cwiseAbs().maxCoeff()));
    }
    CHECK(pooled_cardinal_contrast(ConeContrast{}, Lms{1, 2, 3}, observer()).vector() ==
          Eigen::Vector3d::Zero());
}

TEST_CASE("cardinal contrasts of a background that leaves a cone dark, or of no numbers, are refused") {
    for (const Lms& background : {Lms{0, 1, 1}, Lms{1, -1, 1}, Lms{1, 1, kNan}}) {
        for (const auto& text :
             {input_error_text([&] { pooled_cardinal_contrast(ConeContrast{}, background, observer()); }),
              input_error_text([&] { cone_contrast_from_pooled_cardinal({}, background, observer()); }),
              input_error_text([&] { lms_from_pooled_cardinal({}, background, observer()); })}) {
            CHECK_THAT(text, Catch::Contains("choose a background that excites each of the three cones"));
        }
    }
    CHECK(input_error_text([] {
              cone_contrast_from_pooled_cardinal({.s = kNan}, Lms{1, 1, 1}, observer());
          }) == "contrasts along the cardinal axes of 0, 0, nan; give finite numbers");
    CHECK_THAT(input_error_text([] {
                   pooled_cardinal_contrast(ConeContrast{kNan, 0, 0}, Lms{1, 1, 1}, observer());
               }),
               Catch::Contains("give finite numbers"));
}
