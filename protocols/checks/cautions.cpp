#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <set>

#include "calibration/display_model.h"
#include "colorimetry/colour_space.h"
#include "colorimetry/rods.h"
#include "protocols/checks/cautions.h"
#include "protocols/checks/code_steps.h"
#include "protocols/checks/task_cautions.h"
#include "protocols/language/protocol.h"
#include "protocols/setup/setup.h"
#include "stimuli/flash_limits.h"

namespace isoseam {
namespace {

// A source above this luminance is no ordinary screen and deserves its own assessment. The limit is our own
// choice. It is ten times below the luminance under which IEC 62471 asks for no spectral assessment of white
// light (from memory).
constexpr double kBrightCdM2 = 1000.0;

constexpr const char* kSamePrimaries =
    "Both halves are lit by the same primaries. Two such lights are either identical or they differ for "
    "everyone who has "
    "three kinds of cones: whatever the eye, they match at equal drive values. So these matches measure how "
    "precisely a "
    "person sets a match, and what adaptation or the surround do to it; a dichromat's settings also spread "
    "along that "
    "eye's confusions. They can say nothing about an individual's cones.";
constexpr const char* kDifferentPrimaries =
    "The halves are lit by different primaries, so where a match falls depends on the observer's cone "
    "sensitivities, lens "
    "and macular pigment. The predicted match is that of the nominal observer; other eyes match elsewhere. "
    "An error of "
    "either calibration moves all matches too, and looks like a different eye.";
constexpr const char* kNoDiagnosis =
    "Matches describe settings and never diagnose: screening for and diagnosis of colour-vision deficiency "
    "belong to a "
    "qualified person with an approved instrument.";

std::vector<LightSpec> lights_of_conditions(const Protocol& protocol) {
    std::vector<LightSpec> lights;
    for (const Condition& condition : protocol.conditions) {
        lights.push_back(condition.reference);
        if (condition.test)
            lights.push_back(*condition.test);
        if (condition.rings)
            lights.insert(lights.end(), condition.rings->begin(), condition.rings->end());
    }
    return lights;
}

// Adds one caution for each axis of an adjusted block, with the condition where the codes are coarsest.
void note_coarse_codes(const Setup& setup, int block, DitherKind dither, std::vector<Caution>& cautions) {
    const Protocol& protocol = setup.protocol();
    if (std::holds_alternative<TaskPlan>(protocol.block(block).plan))
        return;
    const FrameDepth reference_depth{setup.solver(setup.reference_half()).display().calibration().bits,
                                     dither};
    const int bits = setup.solver(protocol.adjusted).display().calibration().bits;
    // The number of steps that dither makes of one code.
    const double steps_of_code = std::exp2(effective_bits(bits, dither) - bits);
    std::vector<const Condition*> conditions;
    std::vector<AdjustmentProblem> problems;
    for (std::size_t i = 0; i < protocol.conditions.size(); ++i) {
        if (protocol.conditions[i].block != block)
            continue;
        conditions.push_back(&protocol.conditions[i]);
        problems.push_back(setup.adjustment(static_cast<int>(i), reference_depth));
    }
    const std::vector<AdjustmentAxis>& axes = conditions.front()->axes;
    for (std::size_t axis = 0; axis < axes.size(); ++axis) {
        const Eigen::VectorXd fine_step =
            axes[axis].fine *
            Eigen::VectorXd::Unit(static_cast<Eigen::Index>(axes.size()), static_cast<Eigen::Index>(axis));
        std::vector<double> moved;
        for (const AdjustmentProblem& problem : problems)
            moved.push_back(steps_of_code * codes_of(problem, fine_step, bits));
        const auto worst = std::min_element(moved.begin(), moved.end());
        if (*worst >= 1.0)
            continue;
        const auto index = static_cast<std::size_t>(worst - moved.begin());
        const Eigen::Vector3d percent = 100.0 / steps_of_code * contrast_of_one_code(problems[index], bits);
        cautions.push_back(
            {CautionKind::fine_step,
             fmt::format(
                 "The fine step of axis '{}' is finer than the adjusted light's steps at {}: in "
                 "condition '{}' it moves no primary by more than {:.2g} of one, so a press may show "
                 "nothing. One step there changes L by up to {:.2g} %, M by up to {:.2g} % and S by up "
                 "to {:.2g} %.",
                 axes[axis].name, depth_words(bits, dither), conditions[index]->name, *worst, percent[0],
                 percent[1], percent[2])});
    }
}

void note_fixed_starts(const Protocol& protocol, std::vector<Caution>& cautions) {
    const auto starts_at_match = [&](const Condition& condition) {
        return std::holds_alternative<AdjustmentPlan>(protocol.block(condition.block).plan) &&
               std::all_of(condition.axes.begin(), condition.axes.end(),
                           [](const AdjustmentAxis& axis) { return axis.start == 0.0; });
    };
    if (std::any_of(protocol.conditions.begin(), protocol.conditions.end(), starts_at_match)) {
        cautions.push_back(
            {CautionKind::starts,
             "Every setting starts at the predicted match (start is 0 on all axes), so settings lean towards "
             "the prediction."});
    }
}

void note_bright_adaptation(const Setup& setup, std::vector<Caution>& cautions) {
    if (!setup.protocol().adaptation)
        return;
    const int source = setup.field_source();
    const double luminance = setup.solver(source).display().xyz(setup.adaptation(source)).y;
    if (luminance > kBrightCdM2) {
        cautions.push_back(
            {CautionKind::adaptation,
             fmt::format("The adapting light has {:.0f} cd/m2 on source '{}' for {:.0f} s. Unless this is an "
                         "ordinary screen, have the "
                         "source assessed against IEC 62471 before anybody looks at it.",
                         luminance, setup.source_name(source), setup.protocol().adaptation_s)});
    }
}

void note_rods(const Setup& setup, std::vector<Caution>& cautions) {
    const Protocol& protocol = setup.protocol();
    const DisplayModel& display = setup.solver(setup.reference_half()).display();
    double dimmest = std::numeric_limits<double>::infinity();
    for (int i = 0; i < static_cast<int>(protocol.conditions.size()); ++i)
        dimmest = std::min(dimmest, display.xyz(setup.reference(i)).y);
    if (rods_may_matter(protocol.field.size, dimmest)) {
        cautions.push_back(
            {CautionKind::rods,
             fmt::format(
                 "The field is larger than 2 deg and a reference has only {:.2g} cd/m2: rods may take "
                 "part, and the prediction knows nothing of them. The rod contrast of each condition's "
                 "halves says how much they differ for rods.",
                 dimmest)});
    }
}

// Notes how the flicker keeps to the limits for general audiences. The adjusted light is taken at its
// predicted match.
void note_flash_limits(const Setup& setup, const Flicker& flicker, double refresh_hz,
                       std::vector<Caution>& cautions) {
    const Protocol& protocol = setup.protocol();
    const DisplayModel& display = setup.solver(setup.reference_half()).display();
    const LinearDrive full{Eigen::VectorXd::Ones(display.primary_count())};
    const Calibration& calibration = display.calibration();
    std::set<std::string> told;
    for (int i = 0; i < static_cast<int>(protocol.conditions.size()); ++i) {
        const AdjustmentProblem problem = setup.adjustment(i, calibration.bits);
        const Eigen::VectorXd match = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(problem.axes.size()));
        FlashingArea area = flashing_area(flicker, refresh_hz, display.xyz(setup.reference(i)),
                                          problem.solver->display().xyz(stimulus_at(problem, match).linear),
                                          protocol.flicker->longest_s);
        area.white_cd_m2 = display.xyz(full).y;
        area.solid_angle_sr = disc_solid_angle_sr(protocol.field.size);
        const double side_mm = 2.0 * protocol.rig.distance_mm *
                               std::tan(0.5 * protocol.field.size.degrees() * std::numbers::pi / 180.0);
        const double screen_mm2 = calibration.width_px * calibration.pixel_pitch_mm * calibration.height_px *
                                  calibration.pixel_pitch_mm;
        area.screen_share = std::min(side_mm * side_mm / screen_mm2, 1.0);
        for (const FlashVerdict& verdict : flash_verdicts(area)) {
            if (told.insert(verdict.limit + verdict.words).second)
                cautions.push_back(
                    {CautionKind::flicker,
                     fmt::format(
                         "Flicker in condition '{}', near its expected setting (others flash more): {}",
                         protocol.condition(i).name, verdict.words)});
        }
    }
}

void note_flicker(const Setup& setup, std::vector<Caution>& cautions) {
    const Protocol& protocol = setup.protocol();
    if (!protocol.flicker)
        return;
    if (const auto caution = seizure_caution(protocol.flicker->frequency_hz))
        cautions.push_back({CautionKind::flicker, *caution});
    cautions.push_back(
        {CautionKind::flicker,
         "This protocol flickers. Show it to nobody without the approval of your ethics board, ask the "
         "exclusion question in person too, and stay in the room: any press of Escape takes the flicker away "
         "at once."});
    const double refresh_hz = setup.solver(setup.reference_half()).display().calibration().refresh_hz;
    note_flash_limits(setup, setup.flicker(refresh_hz), refresh_hz, cautions);
}

}  // namespace

std::vector<Caution> cautions_of(const Setup& setup, DitherKind dither) {
    const Protocol& protocol = setup.protocol();
    std::vector<Caution> cautions{
        {CautionKind::primaries, setup.halves_share_primaries() ? kSamePrimaries : kDifferentPrimaries}};
    note_unmeasured(
        setup,
        "what it says of a light is true of no real screen, so the results are for practice, not for "
        "science.",
        "typical spectra of its kind of panel, not measured ones. Not for data: it serves for showing "
        "and teaching only.",
        cautions);
    note_field_of_observer(protocol, ". Macular pigment and cone densities depend on field size", cautions);
    note_rods(setup, cautions);
    note_bright_adaptation(setup, cautions);
    note_fixed_starts(protocol, cautions);
    for (std::size_t block = 0; block < protocol.blocks.size(); ++block)
        note_coarse_codes(setup, static_cast<int>(block), dither, cautions);
    note_tasks(setup, dither, cautions);
    note_flicker(setup, cautions);
    note_unused_lights(protocol, lights_of_conditions(protocol), cautions);
    cautions.push_back({CautionKind::diagnosis, kNoDiagnosis});
    return cautions;
}

}  // namespace isoseam
