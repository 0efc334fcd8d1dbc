#include "colorimetry/population.h"

#include <Eigen/LU>
#include <catch2/catch.hpp>
#include <cmath>
#include <nlohmann/json.hpp>
#include <numbers>

#include "colorimetry/colour_space.h"
#include "support/error_text.h"
#include "support/published_table.h"

using namespace isoseam;
using isoseam::test::input_error_text;
using isoseam::test::published_json;
using isoseam::test::published_table;
using isoseam::test::PublishedRows;

namespace {

constexpr double kFirstNm = 390.0;
constexpr Eigen::Index kSamples = 441;
using Weights = Eigen::Vector3d;
using Primaries = Eigen::Matrix<double, kSamples, 3>;

// A display's primaries at each nanometre, on straight lines between the samples of a table.
Primaries display_primaries(const std::string& table) {
    const PublishedRows rows = published_table(table);
    Primaries primaries = Primaries::Zero();
    for (std::size_t k = 0; k + 1 < rows.size(); ++k) {
        for (double nm = rows[k][0]; nm <= rows[k + 1][0]; nm += 1.0) {
            const auto i = static_cast<Eigen::Index>(nm - kFirstNm);
            for (std::size_t primary = 1; i >= 0 && i < kSamples && primary <= 3; ++primary) {
                primaries(i, static_cast<Eigen::Index>(primary) - 1) =
                    std::lerp(rows[k][primary], rows[k + 1][primary],
                              (nm - rows[k][0]) / (rows[k + 1][0] - rows[k][0]));
            }
        }
    }
    return primaries;
}

Primaries narrow_bands() {
    const double width_per_deviation =
        2.0 * std::sqrt(2.0 * std::numbers::ln2);  // of a Gaussian, at half its peak
    Primaries bands;
    const double centre_nm[] = {465.0, 530.0, 635.0};
    const double full_width_nm[] = {18.0, 30.0, 20.0};
    for (Eigen::Index i = 0; i < kSamples; ++i) {
        for (int band = 0; band < 3; ++band) {
            const double z = (kFirstNm + static_cast<double>(i) - centre_nm[band]) /
                             (full_width_nm[band] / width_per_deviation);
            bands(i, band) = std::exp(-z * z / 2.0);
        }
    }
    return bands;
}

const Primaries& bands() {
    static const Primaries made = narrow_bands();
    return made;
}

// Amounts of the bands that match grey on a display for these sensitivities (rows: wavelengths), by sums at
// 1 nm as the published figures have them.
Weights match(const Eigen::MatrixX3d& sensitivities, const Primaries& display) {
    const Eigen::VectorXd grey = display * Eigen::Vector3d::Constant(0.5);
    return (sensitivities.transpose() * bands()).partialPivLu().solve(sensitivities.transpose() * grey);
}

Eigen::Vector2d uv_prime(const Eigen::VectorXd& spectrum) {
    std::vector<double> nm;
    for (Eigen::Index i = 0; i < kSamples; ++i) {
        nm.push_back(kFirstNm + static_cast<double>(i));
    }
    const Xyz xyz = tristimulus(Spectrum::from_signed_w_sr_m2_nm(nm, {spectrum.begin(), spectrum.end()}));
    const double sum = xyz.x + 15.0 * xyz.y + 3.0 * xyz.z;
    return {4.0 * xyz.x / sum, 9.0 * xyz.y / sum};
}

// Root mean square distance of points from their mean.
double spread(const std::vector<Eigen::Vector2d>& points) {
    Eigen::Vector2d mean = Eigen::Vector2d::Zero();
    for (const Eigen::Vector2d& point : points) {
        mean += point / static_cast<double>(points.size());
    }
    double sum = 0.0;
    for (const Eigen::Vector2d& point : points) {
        sum += (point - mean).squaredNorm();
    }
    return std::sqrt(sum / static_cast<double>(points.size() - 1));
}

ObserverParameters observer_of_row(const std::vector<double>& row) {
    ObserverParameters observer;
    double ObserverParameters::*const parameters[] = {
        &ObserverParameters::lens_percent,      &ObserverParameters::macular_percent,
        &ObserverParameters::density_l_percent, &ObserverParameters::density_m_percent,
        &ObserverParameters::density_s_percent, &ObserverParameters::shift_l_nm,
        &ObserverParameters::shift_m_nm,        &ObserverParameters::shift_s_nm};
    for (std::size_t i = 0; i < 8; ++i) {
        observer.*parameters[i] = row[1 + i];
    }
    return observer;
}

// Colour-matching functions of one person, given every 5 nm, on straight lines between.
Eigen::MatrixX3d functions_of(const PublishedRows& rows, std::size_t first, std::size_t count) {
    Eigen::MatrixX3d functions = Eigen::MatrixX3d::Zero(kSamples, 3);
    for (std::size_t k = 0; k + 1 < count; ++k) {
        const auto& left = rows[first + k];
        const auto& right = rows[first + k + 1];
        for (double nm = left[1]; nm <= right[1]; nm += 1.0) {
            const double share = (nm - left[1]) / (right[1] - left[1]);
            for (Eigen::Index i = 0; i < 3; ++i) {
                const auto column = static_cast<std::size_t>(i) + 2;
                functions(static_cast<Eigen::Index>(nm - kFirstNm), i) =
                    std::lerp(left[column], right[column], share);
            }
        }
    }
    return functions;
}

}  // namespace

TEST_CASE(
    "200 individual observers match a display's grey with narrow bands as an independent program says") {
    // O5: computed for this project in another language. A shift's interpolation is that program's own,
    // linear in log absorbance, so that its figures hold to rounding here.
    const auto oracle = published_json("O5_metameric_match_grey_2deg_32y.json");
    constexpr double kShiftTolerance = 2e-4;  // what another interpolation would cost
    constexpr double kSameInterpolation = 1e-9;
    const Primaries lcd = display_primaries("lcd_primaries_5nm.csv");
    double largest = 0.0;
    std::vector<Eigen::Vector2d> uv;
    const PublishedRows rows = published_table("O5_observers.csv");
    REQUIRE(rows.size() == 200);
    for (const auto& row : rows) {
        const Weights weights = match(Observer(observer_of_row(row)).energy(), lcd);
        uv.push_back(uv_prime(bands() * weights));
        for (Eigen::Index band = 0; band < 3; ++band) {
            const double published = row[9 + static_cast<std::size_t>(band)];
            largest = std::max(largest, std::abs(weights[band] / published - 1.0));
        }
        CHECK(std::abs(uv.back()[0] - row[12]) < kShiftTolerance);
        CHECK(std::abs(uv.back()[1] - row[13]) < kShiftTolerance);
    }
    INFO("largest relative difference of a weight " << largest);
    CHECK(largest <= kSameInterpolation);

    const Eigen::Vector2d sd{oracle["uv_prime_SD"][0].get<double>(), oracle["uv_prime_SD"][1].get<double>()};
    CHECK(spread(uv) == Approx(sd.norm()).epsilon(1e-6));

    const Observer standard = Observer::cie170(Degrees::from_degrees(2), Years::from_years(32));
    const Weights by_table = match(standard.energy(), lcd);
    for (std::size_t band = 0; band < 3; ++band) {
        CHECK(
            by_table[static_cast<Eigen::Index>(band)] ==
            Approx(oracle["standard_weights_if_the_published_fundamental_table_is_used"][band].get<double>())
                .epsilon(1e-9));
    }
}

TEST_CASE("sampled eyes spread in u'v' as 75 measured observers do") {
    // Munsell Color Science Laboratory, 2015-16: colour-matching functions of 75 colour-normal people. The
    // measured people differ in age, the sampled ones are 32 years old; so the spreads agree in size, not
    // exactly.
    constexpr double kAgree = 1.5;
    const Primaries display = display_primaries("primaries_rec709.csv");
    const PublishedRows rows = published_table("individual_xyz_2deg.csv");
    std::vector<Eigen::Vector2d> measured;
    for (std::size_t first = 0; first < rows.size();) {
        std::size_t count = 0;
        while (first + count < rows.size() && rows[first + count][0] == rows[first][0]) {
            ++count;
        }
        measured.push_back(uv_prime(bands() * match(functions_of(rows, first, count), display)));
        first += count;
    }
    REQUIRE(measured.size() == 75);
    std::vector<Eigen::Vector2d> sampled;
    for (std::uint64_t i = 0; i < 1000; ++i) {
        sampled.push_back(uv_prime(bands() * match(Observer(sampled_eye({}, 1, i).eye).energy(), display)));
    }
    const double ratio = spread(measured) / spread(sampled);
    WARN("spread in u'v' of a matched white: measured people " << spread(measured) << ", sampled eyes "
                                                               << spread(sampled) << ", ratio " << ratio);
    CHECK(ratio < kAgree);
    CHECK(ratio > 1.0 / kAgree);
}

TEST_CASE("sampled eyes spread as published, redraw what cannot be, and depend on seed and index alone") {
    const auto published = published_json("asano_2016_variability.json")["standard_deviation"];
    const std::pair<double ObserverParameters::*, const char*> parameters[] = {
        {&ObserverParameters::lens_percent, "lens_density_percent"},
        {&ObserverParameters::macular_percent, "macular_density_percent"},
        {&ObserverParameters::density_l_percent, "l_density_percent"},
        {&ObserverParameters::density_m_percent, "m_density_percent"},
        {&ObserverParameters::density_s_percent, "s_density_percent"},
        {&ObserverParameters::shift_l_nm, "l_shift_nm"},
        {&ObserverParameters::shift_m_nm, "m_shift_nm"},
        {&ObserverParameters::shift_s_nm, "s_shift_nm"}};
    // The sample SD of 4,000 normal deviates has a standard error of 1.1 %: five of them pass all eight with
    // a false alarm rate below 1e-5. Cutting macular density at -100 % (2.7 SD) lowers its SD by less than 2
    // %.
    constexpr int kEyes = 4000;
    constexpr double kFiveStandardErrors = 0.056;
    constexpr double kCut = 0.02;
    std::vector<ObserverParameters> eyes;
    int redrawn = 0;
    for (std::uint64_t i = 0; i < kEyes; ++i) {
        const SampledEye sampled = sampled_eye({}, 3, i);
        eyes.push_back(sampled.eye);
        redrawn += sampled.redrawn;
        CHECK(sampled.eye.macular_percent > -100.0);
    }
    for (const auto& [parameter, name] : parameters) {
        INFO(name);
        const double sd = published[name];
        double sum = 0.0, squares = 0.0;
        for (const ObserverParameters& eye : eyes) {
            sum += eye.*parameter;
            squares += eye.*parameter * (eye.*parameter);
        }
        const double mean = sum / kEyes;
        CHECK(std::sqrt(squares / kEyes - mean * mean) == Approx(sd).epsilon(kFiveStandardErrors + kCut));
        CHECK(std::abs(mean) < 5.0 * sd / std::sqrt(kEyes) + 0.01 * sd);
    }
    // P(z < -100/36.5) = 0.0031: 12 of 4,000 expected; 1 to 30 holds with a false alarm rate of 1e-4.
    CHECK(redrawn >= 1);
    CHECK(redrawn <= 30);

    CHECK(sampled_eye({}, 3, 7).eye.shift_m_nm == eyes[7].shift_m_nm);
    CHECK(sampled_eye({}, 4, 7).eye.shift_m_nm != eyes[7].shift_m_nm);
    CHECK(sampled_eye({}, 3, 8).eye.shift_m_nm != eyes[7].shift_m_nm);

    EyeSpread impossible;
    impossible.shift_l_nm = 1e6;
    CHECK(input_error_text([&] { sampled_eye({}, 1, 1, impossible); }) ==
          "spread: 64 draws in a row gave eyes that cannot be; choose a smaller spread, or a nominal eye "
          "nearer to the "
          "mean");
}

TEST_CASE("the ten categorical observers") {
    // Asano 2015.
    const PublishedRows rows = published_table("categorical_observers.csv");
    REQUIRE(rows.size() == kCategoricalObservers);
    for (int number = 1; number <= kCategoricalObservers; ++number) {
        const auto& row = rows[static_cast<std::size_t>(number) - 1];
        const ObserverParameters observer = categorical_observer(number, Degrees::from_degrees(10));
        CHECK(observer.age.years() == row[1]);
        CHECK(observer.lens_percent == row[2]);
        CHECK(observer.macular_percent == row[3]);
        CHECK(observer.density_l_percent == row[4]);
        CHECK(observer.density_m_percent == row[5]);
        CHECK(observer.density_s_percent == row[6]);
        CHECK(observer.shift_l_nm == row[7]);
        CHECK(observer.shift_m_nm == row[8]);
        CHECK(observer.shift_s_nm == row[9]);
        CHECK(observer.field.degrees() == 10.0);
        CHECK_NOTHROW(Observer(observer));
    }
    for (const int wrong : {0, 11}) {
        CHECK(input_error_text([&] { categorical_observer(wrong, Degrees::from_degrees(2)); }) ==
              "categorical: there is no categorical observer " + std::to_string(wrong) + "; choose 1 to 10");
    }
}
