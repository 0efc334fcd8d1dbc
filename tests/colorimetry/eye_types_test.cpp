#include "colorimetry/eye_types.h"

#include <catch2/catch.hpp>

#include "support/error_text.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

ObserverParameters individual() {
    ObserverParameters eye;
    eye.field = Degrees::from_degrees(4.0);
    eye.age = Years::from_years(50.0);
    eye.macular_percent = 20.0;
    eye.shift_l_nm = -1.0;
    eye.shift_m_nm = 0.5;
    return eye;
}

}  // namespace

TEST_CASE("each type has its cones, its words, and is known again") {
    for (const EyeType type : kEyeTypes) {
        CAPTURE(name_of(type));
        const ObserverParameters eye = as_type(individual(), type);
        CHECK(type_of(eye) == type);
        CHECK(eye_type_named(word_of(type)) == type);
        CHECK(eye.macular_percent == 20.0);
        CHECK(eye.age == Years::from_years(50.0));
        CHECK_NOTHROW(Observer(eye));
        // From any type, every other can be made.
        CHECK(type_of(as_type(eye, EyeType::tritanope)) == EyeType::tritanope);
    }
    const auto lacking = [](EyeType type) {
        const ObserverParameters eye = as_type({}, type);
        return std::string(eye.lacks_l ? "L" : "") + (eye.lacks_m ? "M" : "") + (eye.lacks_s ? "S" : "");
    };
    CHECK(lacking(EyeType::protanope) == "L");
    CHECK(lacking(EyeType::deuteranope) == "M");
    CHECK(lacking(EyeType::tritanope) == "S");
    CHECK(lacking(EyeType::l_cone_monochromat) == "MS");
    CHECK(lacking(EyeType::m_cone_monochromat) == "LS");
    CHECK(lacking(EyeType::s_cone_monochromat) == "LM");
    CHECK(lacking(EyeType::deuteranomalous).empty());
    CHECK_THAT(input_error_text([] { eye_type_named("deuteranop"); }),
               Catch::Contains("did you mean deuteranope"));
    CHECK_THAT(input_error_text([] { eye_type_named("x"); }), Catch::Contains("s-cone-monochromat"));
}

TEST_CASE("an anomalous pigment lies the stated nm from the eye's own pigment that it resembles") {
    const ObserverParameters protanomalous = as_type(individual(), EyeType::protanomalous);
    CHECK(protanomalous.l_pigment == Pigment::m);
    CHECK(protanomalous.shift_l_nm == 4.5);
    CHECK(protanomalous.shift_m_nm == 0.5);
    const ObserverParameters deuteranomalous =
        as_type(individual(), EyeType::deuteranomalous, {.from_l_nm = -2.0});
    CHECK(deuteranomalous.m_pigment == Pigment::l);
    CHECK(deuteranomalous.shift_m_nm == -3.0);
    CHECK(deuteranomalous.shift_l_nm == -1.0);
}

TEST_CASE("a trichromat is made again, and the mean eye of a type keeps the type and nothing else") {
    for (const EyeType type : kEyeTypes) {
        CAPTURE(name_of(type));
        const ObserverParameters eye = as_type(individual(), type);
        CHECK(type_of(as_trichromat(eye)) == EyeType::trichromat);
        const ObserverParameters mean = mean_eye_of_type(eye);
        CHECK(type_of(mean) == type);
        CHECK(mean.macular_percent == 0.0);
        CHECK(Observer(mean).description() == Observer(as_type(mean_eye(eye), type)).description());
    }
    // A pigment of the other sort is taken out with its shift.
    CHECK(as_trichromat(as_type(individual(), EyeType::protanomalous)).shift_l_nm == 0.0);
    CHECK(as_trichromat(as_type(individual(), EyeType::protanope)).shift_l_nm == -1.0);
    CHECK(Observer(mean_eye(individual())).description() ==
          "CIE 170-1:2006, field 4 deg, age 50 years (computed)");
}
