// Little CMS as an independent witness of the matrix and tone arithmetic.

#include <lcms2.h>
#include <lcms2_plugin.h>

#include <Eigen/LU>
#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <memory>
#include <string>
#include <vector>

#include "base/random.h"
#include "calibration/display_model.h"

using namespace isoseam;

namespace {

// Little CMS evaluates tone curves and pipelines in 32-bit floats: 24 bits, a few roundings, values up to 1
// (XYZ of a white).
constexpr double kSingleFloats = 1e-6;
// It solves matrices in doubles; D50 and Bradford constants are the same on both sides.
constexpr double kDoubles = 1e-9;
// Our curve through 256 points of a tone formula, against the formula.
constexpr double kInterpolation = 5e-6;

using Curve = std::unique_ptr<cmsToneCurve, decltype(&cmsFreeToneCurve)>;
using Profile = std::unique_ptr<void, decltype(&cmsCloseProfile)>;
using Pipeline = std::unique_ptr<cmsPipeline, decltype(&cmsPipelineFree)>;

const char* const kScreens[] = {"/calibration/demo/demo_lcd.yaml", "/calibration/demo/demo_narrow_band.yaml",
                                "/tests/published/O2_display_total.yaml"};

DisplayModel model_of(const std::string& file) {
    return DisplayModel(read_calibration(ISOSEAM_SOURCE_DIR + file));
}

// A curve of Little CMS: its own power, or straight lines through 4096 of our samples.
Curve curve_of(const ToneResponse& tone) {
    if (tone.is_power())
        return {cmsBuildGamma(nullptr, tone.exponent()), &cmsFreeToneCurve};
    std::vector<float> samples(4096);
    for (std::size_t i = 0; i < samples.size(); ++i)
        samples[i] = static_cast<float>(tone.linear_from_drive(static_cast<double>(i) / 4095.0));
    return {cmsBuildTabulatedToneCurveFloat(nullptr, 4096, samples.data()), &cmsFreeToneCurve};
}

cmsCIExyY chromaticity_of(const Eigen::Vector3d& xyz) {
    return {xyz[0] / xyz.sum(), xyz[1] / xyz.sum(), 1.0};
}

// What Little CMS makes of a screen of which it is told chromaticities and tone only.
Profile profile_of(const DisplayModel& display, const std::array<Curve, 3>& curves) {
    const Eigen::Matrix3d matrix = display.xyz_from_linear();
    const cmsCIExyY white = chromaticity_of(matrix.rowwise().sum());
    const cmsCIExyYTRIPLE primaries = {chromaticity_of(matrix.col(0)), chromaticity_of(matrix.col(1)),
                                       chromaticity_of(matrix.col(2))};
    cmsToneCurve* tones[] = {curves[0].get(), curves[1].get(), curves[2].get()};
    return {cmsCreateRGBProfile(&white, &primaries, tones), &cmsCloseProfile};
}

// Our matrix without black, white at Y = 1, adapted to D50 (which every profile is).
Eigen::Matrix3d matrix_at_d50(const DisplayModel& display) {
    const Eigen::Matrix3d matrix = display.xyz_from_linear();
    const Eigen::Vector3d sum = matrix.rowwise().sum();
    const cmsCIEXYZ white = {sum[0] / sum[1], 1.0, sum[2] / sum[1]};
    Eigen::Matrix3d adapted;
    for (int i = 0; i < 3; ++i) {
        const Eigen::Vector3d column = matrix.col(i) / sum[1];
        const cmsCIEXYZ ours = {column[0], column[1], column[2]};
        cmsCIEXYZ result;
        REQUIRE(cmsAdaptToIlluminant(&result, &white, cmsD50_XYZ(), &ours));
        adapted.col(i) << result.X, result.Y, result.Z;
    }
    return adapted;
}

Eigen::Matrix3d colorants_of(cmsHPROFILE profile) {
    Eigen::Matrix3d matrix;
    int column = 0;
    for (const cmsTagSignature tag : {cmsSigRedColorantTag, cmsSigGreenColorantTag, cmsSigBlueColorantTag}) {
        const auto* xyz = static_cast<const cmsCIEXYZ*>(cmsReadTag(profile, tag));
        REQUIRE(xyz != nullptr);
        matrix.col(column++) << xyz->X, xyz->Y, xyz->Z;
    }
    return matrix;
}

void check_close(const Eigen::MatrixXd& a, const Eigen::MatrixXd& b, double tolerance) {
    const double miss = (a - b).cwiseAbs().maxCoeff();
    CAPTURE(a, b, miss);
    CHECK(miss <= tolerance);
}

}  // namespace

TEST_CASE("Little CMS finds our matrix from the chromaticities of primaries and white alone") {
    for (const char* file : kScreens) {
        CAPTURE(file);
        const DisplayModel display = model_of(file);
        const std::array<Curve, 3> curves{curve_of(display.tone(0)), curve_of(display.tone(1)),
                                          curve_of(display.tone(2))};
        const Profile profile = profile_of(display, curves);
        REQUIRE(profile);
        check_close(colorants_of(profile.get()), matrix_at_d50(display), kDoubles);
    }
}

TEST_CASE("Little CMS and the display model turn drives into the same light, black included") {
    for (const char* file : kScreens) {
        CAPTURE(file);
        const DisplayModel display = model_of(file);
        const double white = display.xyz({Eigen::VectorXd::Ones(3)}).y;
        const std::array<Curve, 3> curves{curve_of(display.tone(0)), curve_of(display.tone(1)),
                                          curve_of(display.tone(2))};
        cmsToneCurve* tones[] = {curves[0].get(), curves[1].get(), curves[2].get()};
        const Eigen::Matrix<double, 3, 3, Eigen::RowMajor> matrix = display.xyz_from_linear() / white;
        const Eigen::Vector3d black = display.black_xyz().vector() / white;
        const Pipeline pipeline(cmsPipelineAlloc(nullptr, 3, 3), &cmsPipelineFree);
        REQUIRE(
            cmsPipelineInsertStage(pipeline.get(), cmsAT_END, cmsStageAllocToneCurves(nullptr, 3, tones)));
        REQUIRE(cmsPipelineInsertStage(pipeline.get(), cmsAT_END,
                                       cmsStageAllocMatrix(nullptr, 3, 3, matrix.data(), black.data())));
        const RandomStream random{5, 900};
        for (std::uint64_t i = 0; i < 300; i += 3) {
            const std::array<float, 3> drive{static_cast<float>(random.uniform(i)),
                                             static_cast<float>(random.uniform(i + 1)),
                                             static_cast<float>(random.uniform(i + 2))};
            std::array<float, 3> theirs{};
            cmsPipelineEvalFloat(drive.data(), theirs.data(), pipeline.get());
            const Eigen::VectorXd same_drive = Eigen::Map<const Eigen::Vector3f>(drive.data()).cast<double>();
            const Xyz ours = display.xyz(display.linear_from_drive({same_drive}));
            check_close(Eigen::Map<const Eigen::Vector3f>(theirs.data()).cast<double>(),
                        ours.vector() / white, kSingleFloats);
        }
    }
}

TEST_CASE("Little CMS and we solve the same linear drives") {
    for (const char* file : kScreens) {
        CAPTURE(file);
        const Eigen::Matrix3d matrix = model_of(file).xyz_from_linear();
        cmsMAT3 theirs;
        for (int row = 0; row < 3; ++row)
            _cmsVEC3init(&theirs.v[row], matrix(row, 0), matrix(row, 1), matrix(row, 2));
        cmsVEC3 wanted;
        _cmsVEC3init(&wanted, 28.0, 30.0, 33.0);
        cmsVEC3 solved;
        REQUIRE(_cmsMAT3solve(&solved, &theirs, &wanted));
        check_close(matrix.inverse() * Eigen::Vector3d(28.0, 30.0, 33.0),
                    Eigen::Vector3d(solved.n[0], solved.n[1], solved.n[2]), kDoubles);
    }
}

TEST_CASE("Little CMS and the tone responses agree, forwards and backwards") {
    for (const double exponent : {1.8, 2.2, 2.4}) {
        CAPTURE(exponent);
        const Curve forward(cmsBuildGamma(nullptr, exponent), &cmsFreeToneCurve);
        const Curve backward(cmsReverseToneCurve(forward.get()), &cmsFreeToneCurve);
        const ToneResponse tone = ToneResponse::power(exponent);
        for (int code = 0; code <= 255; ++code) {
            const auto x = static_cast<float>(code / 255.0);
            CHECK(std::abs(cmsEvalToneCurveFloat(forward.get(), x) - tone.linear_from_drive(x)) <=
                  kSingleFloats);
            CHECK(std::abs(cmsEvalToneCurveFloat(backward.get(), x) - tone.drive_from_linear(x)) <=
                  kSingleFloats);
        }
    }
}

// IEC 61966-2-1: primaries of ITU-R BT.709, white D65 (0.3127, 0.3290), tone ((d + 0.055) / 1.055)^2.4 above
// 0.04045, else d / 12.92. A screen of such chromaticities is made of spectra that need not be lights (some
// samples are negative): this is about arithmetic only.
TEST_CASE("the sRGB screen: IEC 61966-2-1 through our model, and Little CMS's own sRGB") {
    const Chromaticity primaries[] = {{0.64, 0.33}, {0.30, 0.60}, {0.15, 0.06}};
    const Chromaticity white = {0.3127, 0.3290};
    std::vector<double> drive;
    std::vector<double> light;
    for (int i = 0; i <= 255; ++i) {
        const double d = i / 255.0;
        drive.push_back(d);
        light.push_back(d <= 0.04045 ? d / 12.92 : std::pow((d + 0.055) / 1.055, 2.4));
    }
    light.back() = 1.0;
    Eigen::Matrix3d columns;
    for (int i = 0; i < 3; ++i)
        columns.col(i) = xyz_from_xyy({primaries[i], 1.0}).vector();
    const Eigen::Vector3d luminances = columns.inverse() * xyz_from_xyy({white, 80.0}).vector();

    Calibration calibration;
    calibration.black = Spectrum::equal_energy().scaled(0.0);
    for (int i = 0; i < 3; ++i) {
        const Xyz xyz = xyz_from_xyy({primaries[i], luminances[i]});
        calibration.primaries.push_back({"primary",
                                         nearest_spectrum(Spectrum::equal_energy().scaled(1e-3), xyz),
                                         ToneResponse::points(drive, light)});
    }
    const DisplayModel display(calibration);

    // The matrix that the standard prints, to its four digits.
    Eigen::Matrix3d printed;
    printed << 0.4124, 0.3576, 0.1805, 0.2126, 0.7152, 0.0722, 0.0193, 0.1192, 0.9505;
    check_close(display.xyz_from_linear() / 80.0, printed, 0.5e-4 * 1.001);
    const XyY full = xyy_from_xyz(display.xyz({Eigen::VectorXd::Ones(3)}));
    CHECK(std::abs(full.chromaticity.x - white.x) <= kDoubles);
    CHECK(std::abs(full.chromaticity.y - white.y) <= kDoubles);

    const Profile srgb(cmsCreate_sRGBProfile(), &cmsCloseProfile);
    check_close(colorants_of(srgb.get()), matrix_at_d50(display), kDoubles);
    const auto* curve = static_cast<const cmsToneCurve*>(cmsReadTag(srgb.get(), cmsSigRedTRCTag));
    REQUIRE(curve != nullptr);
    for (int i = 0; i <= 1000; ++i) {
        const auto d = static_cast<float>(i / 1000.0);
        CHECK(std::abs(cmsEvalToneCurveFloat(curve, d) - display.tone(0).linear_from_drive(d)) <=
              kInterpolation);
    }
}
