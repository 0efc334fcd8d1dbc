// Little CMS reads the profile back; what it must say is calculated here from the display model.

#include "calibration/formats/icc_profile.h"

#include <lcms2.h>

#include <Eigen/LU>
#include <catch2/catch.hpp>
#include <cmath>
#include <memory>

#include "base/random.h"
#include "calibration/display_model.h"
#include "support/error_text.h"
#include "support/invented_display.h"
#include "support/tolerances.h"

using namespace isoseam;
using namespace isoseam::test;
using Catch::Matchers::Contains;

namespace {

using Profile = std::unique_ptr<void, decltype(&cmsCloseProfile)>;
using Transform = std::unique_ptr<void, decltype(&cmsDeleteTransform)>;

// Of XYZ with white at Y = 1: colorants are stored in steps of 2^-16 (half a step each, three of them), tone
// curves in steps of 1/65535 and read back in such steps (half a step twice, times up to 1 of XYZ; Z of D50
// is below 1), straight lines between 4096 entries (1e-6), single floats (1e-6).
constexpr double kProfileSteps = 1.5 / 65536.0 + 2 * 0.5 / 65535.0 + 2e-6;

Profile opened(const std::string& bytes) {
    return {cmsOpenProfileFromMem(bytes.data(), static_cast<cmsUInt32Number>(bytes.size())),
            &cmsCloseProfile};
}

// Bradford's matrix and D50 as ICC.1 prints them (from memory), not Little CMS's.
Eigen::Matrix3d d50_from(const Eigen::Vector3d& white) {
    Eigen::Matrix3d bradford;
    bradford << 0.8951, 0.2664, -0.1614, -0.7502, 1.7135, 0.0367, 0.0389, -0.0685, 1.0296;
    const Eigen::Vector3d d50(0.9642, 1.0, 0.8249);
    const Eigen::Vector3d gain = (bradford * d50).cwiseQuotient(bradford * white);
    return bradford.inverse() * gain.asDiagonal() * bradford;
}

std::string text_of(cmsHPROFILE profile, cmsInfoType info) {
    char text[200] = "";
    cmsGetProfileInfoASCII(profile, info, "en", "US", text, sizeof text);
    return text;
}

}  // namespace

TEST_CASE("Little CMS reads from a profile the XYZ of our display model, without black, adapted to D50") {
    std::vector<Calibration> screens{invented_calibration({620.0, 535.0, 455.0}, 2.2)};
    for (const char* file : {"/calibration/demo/demo_lcd.yaml", "/calibration/demo/demo_narrow_band.yaml"})
        screens.push_back(read_calibration(ISOSEAM_SOURCE_DIR + std::string(file)));
    const Profile xyz(cmsCreateXYZProfile(), &cmsCloseProfile);
    const RandomStream random{17, 902};
    for (const Calibration& screen : screens) {
        const DisplayModel display(screen);
        const Profile profile = opened(icc_profile(screen, true));
        REQUIRE(profile);
        const Transform transform(
            cmsCreateTransform(profile.get(), TYPE_RGB_DBL, xyz.get(), TYPE_XYZ_DBL,
                               INTENT_RELATIVE_COLORIMETRIC, cmsFLAGS_NOOPTIMIZE | cmsFLAGS_NOCACHE),
            &cmsDeleteTransform);
        REQUIRE(transform);
        const Eigen::Vector3d white = display.xyz_from_linear().rowwise().sum();
        const Eigen::Matrix3d adapted = d50_from(white / white[1]);
        for (std::uint64_t i = 0; i < 200; ++i) {
            // Whole codes of 16 bits, to which Little CMS rounds the input of a tone table.
            Eigen::Vector3d drive;
            for (std::uint64_t k = 0; k < 3; ++k)
                drive[static_cast<Eigen::Index>(k)] =
                    static_cast<double>(random.below(3 * i + k, 65536)) / 65535.0;
            Eigen::Vector3d theirs;
            cmsDoTransform(transform.get(), drive.data(), theirs.data(), 1);
            const Xyz light = display.xyz(display.linear_from_drive({drive}));
            const Eigen::Vector3d ours = adapted * (light.vector() - display.black_xyz().vector()) / white[1];
            const double miss = (theirs - ours).cwiseAbs().maxCoeff();
            CAPTURE(screen.name, drive, theirs, ours);
            CHECK(miss <= kProfileSteps);
        }
    }
}

TEST_CASE("a profile is ICC v4, tells its screen and day, and is the same each time") {
    Calibration screen = invented_calibration({620.0, 535.0, 455.0});
    screen.name = "B\xC3\xBCro";
    const std::string bytes = icc_profile(screen, true);
    CHECK(bytes == icc_profile(screen, true));
    const Profile profile = opened(bytes);
    REQUIRE(profile);
    CHECK(cmsGetProfileVersion(profile.get()) == Approx(4.3).epsilon(test::kRoundingOfDoubles));
    CHECK(cmsGetDeviceClass(profile.get()) == cmsSigDisplayClass);
    CHECK(cmsGetPCS(profile.get()) == cmsSigXYZData);
    CHECK(cmsIsMatrixShaper(profile.get()));
    wchar_t wide[200] = L"";
    cmsGetProfileInfo(profile.get(), cmsInfoDescription, "en", "US", wide, sizeof wide);
    CHECK(std::wstring(wide) == L"B\u00FCro, measured 2026-11-01 (invented demo data: not for science)");
    CHECK(text_of(profile.get(), cmsInfoCopyright) == "No copyright is claimed; use freely.");
    std::tm created{};
    REQUIRE(cmsGetHeaderCreationDateTime(profile.get(), &created));
    CHECK(created.tm_year == 126);
    CHECK(created.tm_mon == 10);
    CHECK(created.tm_mday == 1);
    const auto* white = static_cast<const cmsCIEXYZ*>(cmsReadTag(profile.get(), cmsSigMediaWhitePointTag));
    REQUIRE(white != nullptr);
    CHECK(std::abs(white->X - 0.9642) <= 1.0 / 65536.0);  // D50, in the tag's steps
    CHECK(std::abs(white->Y - 1.0) <= 1.0 / 65536.0);
    CHECK(std::abs(white->Z - 0.8249) <= 1.0 / 65536.0);
    CHECK(cmsIsTag(profile.get(), cmsSigChromaticAdaptationTag));
    const auto* curve = static_cast<const cmsToneCurve*>(cmsReadTag(profile.get(), cmsSigRedTRCTag));
    REQUIRE(curve != nullptr);
    CHECK(cmsGetToneCurveEstimatedTableEntries(curve) == 4096);
}

TEST_CASE("screens that no matrix profile can tell are refused") {
    const Calibration four = invented_calibration({640.0, 590.0, 535.0, 455.0});
    CHECK_THAT(input_error_text([&] { icc_profile(four, false); }),
               Contains("4 primaries; an ICC matrix profile holds three") &&
                   Contains("the screen's channels interact"));
    Calibration screen = invented_calibration({620.0, 535.0, 455.0});
    screen.name = "\xFF";
    CHECK_THAT(input_error_text([&] { icc_profile(screen, true); }),
               Contains("cannot stand in an ICC profile; use UTF-8 characters up to U+FFFF"));
}
