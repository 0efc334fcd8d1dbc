#include "protocols/language/axes.h"

#include <catch2/catch.hpp>

#include "support/error_text.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

AdjustmentAxis axis(AdjustmentSpace space, const std::string& name) {
    return {name, axis_direction(space, name), 0.01, 0.01, 0.1};
}

}  // namespace

TEST_CASE("an axis of cone contrast is the sum of the cones that it names") {
    const auto direction = [](const char* name) {
        return axis_direction(AdjustmentSpace::cone_contrast, name);
    };
    CHECK(direction("L") == Eigen::Vector3d(1, 0, 0));
    CHECK(direction("S") == Eigen::Vector3d(0, 0, 1));
    CHECK(direction("L+M") == Eigen::Vector3d(1, 1, 0));
    CHECK(direction("L-M") == Eigen::Vector3d(1, -1, 0));
    CHECK(direction("S-L-M") == Eigen::Vector3d(-1, -1, 1));
    CHECK(direction("-L") == Eigen::Vector3d(-1, 0, 0));
    CHECK(direction("-L+M") == Eigen::Vector3d(-1, 1, 0));
}

TEST_CASE("a name that is no axis is refused, with the names that are") {
    const auto told = [](AdjustmentSpace space, const char* name) {
        return input_error_text([&] { axis_direction(space, name); });
    };
    const std::string cones = "is no axis of this space; write a sum of cones, each named once";
    for (const char* name : {"+L", "-", "--L", "-L+L", "L+", "L+L", "LM", "l", "L + M", "L*M", "2L", ""})
        CHECK(told(AdjustmentSpace::cone_contrast, name).find("'" + std::string(name) + "' " + cones) !=
              std::string::npos);
    CHECK(told(AdjustmentSpace::macleod_boynton, "L") ==
          "'L' is no axis of this space; write l, s or luminance");
    for (const char* name : {"primary", "primary 0", "primary 17", "primary -1", "primary 2x", "first"})
        CHECK(told(AdjustmentSpace::primaries, name).find("write 'primary 1', 'primary 2'") !=
              std::string::npos);
}

TEST_CASE("coordinates of MacLeod and Boynton are plain numbers, all else are fractions") {
    CHECK(is_plain_number(AdjustmentSpace::macleod_boynton, "l"));
    CHECK(is_plain_number(AdjustmentSpace::macleod_boynton, "s"));
    CHECK_FALSE(is_plain_number(AdjustmentSpace::macleod_boynton, "luminance"));
    CHECK_FALSE(is_plain_number(AdjustmentSpace::cone_contrast, "L"));
}

TEST_CASE("an axis that others can replace is found, with those that replace it") {
    const auto cones = AdjustmentSpace::cone_contrast;
    const auto found =
        dependent_axes({axis(cones, "S"), axis(cones, "L+M"), axis(cones, "L-M"), axis(cones, "M")});
    REQUIRE(found.size() == 1);
    CHECK(found[0].axis == 3);
    CHECK(found[0].made_of == std::vector<std::size_t>{1, 2});
    CHECK(dependent_axes({axis(cones, "L+M+S"), axis(cones, "L+M-S"), axis(cones, "L-M")}).empty());
    const auto primaries = AdjustmentSpace::primaries;
    CHECK(dependent_axes({axis(primaries, "primary 4"), axis(primaries, "primary 1")}).empty());
}
