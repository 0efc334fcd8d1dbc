#include "runner/commands/display/screen_description.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/calendar.h"
#include "base/errors.h"
#include "runner/commands/light_description.h"
#include "stimuli/dither.h"

namespace isoseam {
namespace {

// Where no grey is named, the grey has this share of white's luminance. It is bright enough to adapt to, and
// leaves room on all sides.
constexpr double kGreyShare = 0.25;
// Sessions use this dither unless told otherwise.
constexpr DitherKind kUsualDither = DitherKind::ordered;

GreyBackground grey_of(const std::string& words, const DriveSolver& solver) {
    GreyBackground grey;
    DriveSolution solution;
    if (words.empty()) {
        grey.text = fmt::format("white's chromaticity at {:g} % of its luminance", 100.0 * kGreyShare);
        solution = grey_of_white(solver, kGreyShare);
    } else {
        const LightEye eye{.observer = solver.observer(), .resolves = solver.observer()};
        const DescribedLight light =
            described_light(words, eye, ShownOn{solver, solver.display().calibration().bits});
        grey.text = light.text;
        solution = solver.solve(light.light.lms);
    }
    if (!solution.in_gamut) {
        throw InputError(
            Fault{"", 0, 0, "--grey",
                  fmt::format("{} is outside the gamut of '{}' (margin {:.3g})", grey.text,
                              solver.display().calibration().name, solution.gamut_margin),
                  "name a light that the screen can show, such as \"xyY 0.31 0.33 at 30 cd/m2\""});
    }
    grey.linear = solution.linear;
    grey.lms = solver.lms(grey.linear);
    grey.xyz = solver.display().xyz(grey.linear);
    return grey;
}

std::vector<PrimaryLight> primary_lights(const DisplayModel& display, const Observer& observer) {
    std::vector<PrimaryLight> primaries;
    const Eigen::Matrix3Xd lms = display.lms_from_linear(observer);
    for (int i = 0; i < display.primary_count(); ++i) {
        primaries.push_back({display.calibration().primaries[static_cast<std::size_t>(i)].name,
                             Xyz::from_vector(display.xyz_from_linear().col(i)),
                             Lms::from_vector(lms.col(i))});
    }
    return primaries;
}

}  // namespace

ScreenDescription describe_screen(const DisplayModel& display, const Observer& observer) {
    ScreenDescription screen;
    const Day now = today();
    screen.calibration = display.calibration();
    screen.expired = expired(screen.calibration, now);
    screen.days_left = days_between(now, screen.calibration.valid_until);
    screen.additive = display.additive();
    screen.primaries = primary_lights(display, observer);
    screen.white = display.xyz(LinearDrive{Eigen::VectorXd::Ones(display.primary_count())});
    screen.black = display.black_xyz();
    screen.condition_number = display.condition_number(observer);
    screen.observer = observer.description();
    return screen;
}

ScreenAbilities abilities_of(const DriveSolver& solver, const std::string& grey_words) {
    ScreenAbilities abilities;
    abilities.gamut = display_gamut(solver);
    abilities.grey = grey_of(grey_words, solver);
    abilities.largest_contrasts = largest_contrasts(solver, abilities.grey.lms);
    const auto step = [&](int bits) { return step_of_one_code(solver, abilities.grey.linear, bits); };
    abilities.step_of_8_bits = step(8);
    abilities.step_of_10_bits = step(10);
    abilities.step_of_8_bits_dithered = step(effective_bits(8, kUsualDither));
    return abilities;
}

std::optional<Eigen::Vector2d> u_v_of(const DiagramPoint& point) {
    if (!point.uniform)
        return std::nullopt;
    return Eigen::Vector2d(point.uniform->u_prime, point.uniform->v_prime);
}

std::optional<Eigen::Vector2d> l_s_of(const DiagramPoint& point) {
    if (!point.macleod_boynton)
        return std::nullopt;
    return Eigen::Vector2d(point.macleod_boynton->l, point.macleod_boynton->s);
}

bool is_unknown(const Calibration& calibration, const std::string& key) {
    const std::vector<std::string>& unknown = calibration.unknown;
    return std::find(unknown.begin(), unknown.end(), key) != unknown.end();
}

}  // namespace isoseam
