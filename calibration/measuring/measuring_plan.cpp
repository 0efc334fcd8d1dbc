#include "calibration/measuring/measuring_plan.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "base/errors.h"
#include "base/random.h"

namespace isoseam {
namespace {

// How much of each plan there is.
struct Extent {
    int ramp_levels;
    int white_levels;
    int mixture_levels;  // of each of the two primaries
    int verification;
    int readings_between_checks;
    int repeats;
    int repeats_of_black;
    int places;
};
constexpr Extent kQuick{7, 7, 1, 8, 15, 1, 3, 0};
constexpr Extent kFull{17, 17, 2, 24, 15, 2, 6, 5};
// With more primaries than this only their full lights are mixed: the number of pairs grows with the square.
constexpr std::size_t kMostFullyMixed = 4;

// Levels are drives (k / n)^this: for a power law of 2.2 the light then grows with (k / n)^3.5.
constexpr double kDensityExponent = 1.6;
// Below this drive the light is so little that a step is read once more.
constexpr double kDimDrive = 0.2;

constexpr int kMostRepeats = 50;
constexpr std::size_t kFewestPrimaries = 3;
constexpr std::size_t kMostPrimaries = 16;

const std::vector<std::pair<PlanKind, std::string>> kKindWords{
    {PlanKind::quick, "quick"}, {PlanKind::full, "full"}, {PlanKind::drift, "drift"}};

std::vector<int> level_codes(int levels, int full) {
    std::vector<int> codes;
    for (int k = 1; k <= levels; ++k) {
        const double share = std::pow(static_cast<double>(k) / levels, kDensityExponent);
        const int code =
            std::max(static_cast<int>(std::lround(share * full)), codes.empty() ? 1 : codes.back() + 1);
        codes.push_back(code);
    }
    return codes;
}

bool lies_on_screen(const PatchPlace& place) {
    return place.width > 0.0 && place.height > 0.0 && place.x - place.width / 2 >= -1e-9 &&
           place.x + place.width / 2 <= 1.0 + 1e-9 && place.y - place.height / 2 >= -1e-9 &&
           place.y + place.height / 2 <= 1.0 + 1e-9;
}

void check_options(const PlanOptions& options) {
    std::vector<Fault> faults;
    const auto fault = [&](const char* key, std::string found, const char* remedy) {
        faults.push_back({"", 0, 0, key, std::move(found), remedy});
    };
    if (options.primaries.size() < kFewestPrimaries || options.primaries.size() > kMostPrimaries)
        fault("primaries", fmt::format("{} primaries", options.primaries.size()), "a screen has 3 to 16");
    if (options.bits != 8 && options.bits != 10)
        fault("--bits", fmt::format("{} bits", options.bits), "write 8 or 10");
    if (!lies_on_screen(options.patch)) {
        fault("--patch",
              fmt::format("a patch {:g} wide and {:g} high at ({:g}, {:g}) does not lie on the screen",
                          options.patch.width, options.patch.height, options.patch.x, options.patch.y),
              "give its centre, width and height as fractions of the screen: --patch 0.5,0.5,0.3,0.3");
    }
    if (options.repeats && !(*options.repeats >= 1 && *options.repeats <= kMostRepeats))
        fault("--repeats", fmt::format("{} readings a step", *options.repeats), "write 1 to 50");
    if (options.places && *options.places != 0 && *options.places != 5 && *options.places != 9)
        fault("--places", fmt::format("{} places", *options.places), "write 0, 5 or 9");
    const Eigen::VectorXd& surround = options.surround.fractions;
    if (surround.size() != 0 && (surround.size() != static_cast<Eigen::Index>(options.primaries.size()) ||
                                 !(surround.minCoeff() >= 0.0 && surround.maxCoeff() <= 1.0))) {
        fault("--surround", "is not one drive of 0 to 1 for each primary", "write for example 0.2,0.2,0.2");
    }
    if (!(options.duration_s >= 60.0 && options.duration_s <= 86400.0))
        fault("--duration", fmt::format("{:g} s", options.duration_s), "write 1 min to 24 h");
    if (options.settled_per_min && !(*options.settled_per_min > 0.0 && *options.settled_per_min <= 0.1))
        fault("--settled", fmt::format("{:g} % per minute", 100.0 * *options.settled_per_min),
              "write above 0 to 10 %");
    throw_if_any(faults);
}

class PlanMaker {
  public:
    explicit PlanMaker(const PlanOptions& options)
        : options_(options),
          extent_(options.kind == PlanKind::full ? kFull : kQuick),
          count_(static_cast<Eigen::Index>(options.primaries.size())),
          full_((1 << options.bits) - 1) {}

    MeasuringPlan make() {
        plan_.options = options_;
        plan_.warm_up = warm_up_rule();
        plan_.watch = step("warm_up", Purpose::warm_up, white(), 1);
        if (options_.kind == PlanKind::drift) {
            add_watch_over_time();
        } else {
            add_colours();
            add_patch_sizes();
            add_places();
        }
        return std::move(plan_);
    }

  private:
    Drive white() const { return {Eigen::VectorXd::Ones(count_)}; }
    Drive black() const { return {Eigen::VectorXd::Zero(count_)}; }
    Drive one(Eigen::Index primary, int code) const {
        Drive drive = black();
        drive.fractions[primary] = drive_of(code);
        return drive;
    }
    double drive_of(int code) const { return static_cast<double>(code) / full_; }
    const std::string& name(Eigen::Index primary) const {
        return options_.primaries[static_cast<std::size_t>(primary)];
    }
    int repeats(int usual) const { return options_.repeats.value_or(usual); }
    int repeats_of(const Drive& drive) const {
        const bool dim = drive.fractions.maxCoeff() < kDimDrive;
        return repeats(extent_.repeats + (dim && extent_.repeats > 1 ? 1 : 0));
    }

    PlanStep step(std::string id, Purpose purpose, Drive drive, int readings) const {
        return {std::move(id), purpose, std::move(drive), options_.patch, readings, 0.0};
    }

    WarmUpRule warm_up_rule() const {
        WarmUpRule rule;
        rule.watch = options_.warm_up && options_.kind != PlanKind::drift;
        if (options_.kind == PlanKind::quick) {
            rule.interval_s = 10.0;
            rule.window_s = 120.0;
            rule.settled_per_min = 0.003;
        }
        rule.settled_per_min = options_.settled_per_min.value_or(rule.settled_per_min);
        rule.longest_s = options_.longest_warm_up_s.value_or(rule.longest_s);
        return rule;
    }

    void add_ramps(std::vector<PlanStep>& steps) const {
        for (const int code : level_codes(extent_.ramp_levels, full_)) {
            for (Eigen::Index primary = 0; primary < count_; ++primary) {
                const Drive drive = one(primary, code);
                steps.push_back(step(fmt::format("ramp.{}.{}", name(primary), code), Purpose::ramp, drive,
                                     repeats_of(drive)));
            }
        }
        for (const int code : level_codes(extent_.white_levels, full_)) {
            const Drive drive{Eigen::VectorXd::Constant(count_, drive_of(code))};
            steps.push_back(
                step(fmt::format("white.{}", code), Purpose::white_ramp, drive, repeats_of(drive)));
        }
    }

    void add_mixtures(std::vector<PlanStep>& steps) const {
        const bool few = options_.primaries.size() <= kMostFullyMixed;
        std::vector<int> codes{full_};
        if (few && extent_.mixture_levels > 1)
            codes.insert(codes.begin(), static_cast<int>(std::lround(0.5 * full_)));
        for (Eigen::Index a = 0; a < count_; ++a) {
            for (Eigen::Index b = a + 1; b < count_; ++b) {
                for (const int code_a : codes) {
                    for (const int code_b : codes) {
                        Drive drive = one(a, code_a);
                        drive.fractions[b] = drive_of(code_b);
                        steps.push_back(
                            step(fmt::format("mixture.{}.{}.{}.{}", name(a), code_a, name(b), code_b),
                                 Purpose::mixture, drive, repeats_of(drive)));
                    }
                }
            }
        }
    }

    // A random order, so that a slow drift does not look like a tone curve; black, which sets the zero of
    // all, before and after.
    void add_colours() {
        std::vector<PlanStep> colours;
        add_ramps(colours);
        add_mixtures(colours);
        add_check();  // white first: it shows at once whether the instrument is aimed, and sets the scale of
                      // noise
        const int early = (extent_.repeats_of_black + 1) / 2;
        plan_.steps.push_back(step("black.before", Purpose::black, black(), repeats(early)));
        for (const int i :
             shuffled_order({options_.seed, kStreamMeasuringPlan}, static_cast<int>(colours.size())))
            add_with_checks(colours[static_cast<std::size_t>(i)]);
        add_verification(colours);
        plan_.steps.push_back(
            step("black.after", Purpose::black, black(), repeats(extent_.repeats_of_black - early)));
        add_check();
    }

    void add_with_checks(const PlanStep& next) {
        if (since_check_ >= extent_.readings_between_checks)
            add_check();
        since_check_ += next.repeats;
        plan_.steps.push_back(next);
    }

    void add_check() {
        since_check_ = 0;
        ++checks_;
        plan_.steps.push_back(step(fmt::format("drift.{}", checks_), Purpose::drift_check, white(), 1));
    }

    // Half of them anywhere in the cube of drives, half near a grey, where most experiments are. None that a
    // fit has seen.
    void add_verification(const std::vector<PlanStep>& seen) {
        std::set<std::vector<double>> known;
        for (const PlanStep& colour : seen)
            known.insert({colour.drive.fractions.begin(), colour.drive.fractions.end()});
        const RandomStream colours{options_.seed + 1, kStreamMeasuringPlan};
        std::uint64_t draw = 0;
        for (int made = 0; made < extent_.verification;) {
            const double grey = 0.15 + 0.7 * colours.uniform(draw++);
            Drive drive = black();
            for (Eigen::Index i = 0; i < count_; ++i) {
                const double u = colours.uniform(draw++);
                const double wanted = made % 2 == 0 ? u : std::clamp(grey + 0.2 * (u - 0.5), 0.0, 1.0);
                drive.fractions[i] = drive_of(static_cast<int>(std::lround(wanted * full_)));
            }
            if (!known.insert({drive.fractions.begin(), drive.fractions.end()}).second)
                continue;
            ++made;
            add_with_checks(step(fmt::format("verification.{}", made), Purpose::verification, drive,
                                 repeats(extent_.repeats)));
        }
    }

    void add_patch_sizes() {
        if (!options_.patch_sizes || options_.kind != PlanKind::full)
            return;
        for (const int percent : {1, 4, 10, 25, 50, 100}) {
            const double side = std::sqrt(percent / 100.0);
            PlanStep next =
                step(fmt::format("size.{}", percent), Purpose::patch_size, white(), repeats(extent_.repeats));
            const auto centre = [&](double at) { return std::clamp(at, side / 2.0, 1.0 - side / 2.0); };
            next.place = {centre(options_.patch.x), centre(options_.patch.y), side, side};
            plan_.steps.push_back(next);
        }
    }

    // The instrument has to be aimed anew at each: last of all.
    void add_places() {
        const int places = options_.places.value_or(extent_.places);
        if (places == 0)
            return;
        constexpr double kThird = 1.0 / 3.0;
        const char* const rows[] = {"top", "middle", "bottom"};
        const char* const columns[] = {"left", "centre", "right"};
        for (int row = 0; row < 3; ++row) {
            for (int column = 0; column < 3; ++column) {
                if (places == 5 && (row + column) % 2 != 0)
                    continue;
                PlanStep next = step(fmt::format("place.{}.{}", rows[row], columns[column]),
                                     Purpose::uniformity, white(), repeats(1));
                next.place = {(column + 0.5) * kThird, (row + 0.5) * kThird,
                              std::min(options_.patch.width, kThird),
                              std::min(options_.patch.height, kThird)};
                plan_.steps.push_back(next);
            }
        }
    }

    // White twice a minute; black, grey and each primary every ten minutes, after a white: before the first
    // white nothing tells how large the light is, against which noise below zero at black is little.
    void add_watch_over_time() {
        constexpr double kWhiteEverySeconds = 30.0;
        constexpr int kWhitesBetween = 20;
        for (int i = 0; i * kWhiteEverySeconds <= options_.duration_s; ++i) {
            const double at_s = i * kWhiteEverySeconds;
            add_at(at_s, fmt::format("drift.{}", i + 1), Purpose::drift_check, white());
            if (i % kWhitesBetween == 0)
                add_others_at(at_s, i / kWhitesBetween + 1);
        }
    }

    void add_others_at(double at_s, int round) {
        add_at(at_s, fmt::format("black.{}", round), Purpose::black, black());
        const int half = static_cast<int>(std::lround(0.5 * full_));
        add_at(at_s, fmt::format("white.{}.{}", half, round), Purpose::white_ramp,
               {Eigen::VectorXd::Constant(count_, drive_of(half))});
        for (Eigen::Index primary = 0; primary < count_; ++primary)
            add_at(at_s, fmt::format("ramp.{}.{}.{}", name(primary), full_, round), Purpose::ramp,
                   one(primary, full_));
    }

    void add_at(double at_s, std::string id, Purpose purpose, Drive drive) {
        PlanStep next = step(std::move(id), purpose, std::move(drive), 1);
        next.earliest_s = at_s;
        plan_.steps.push_back(std::move(next));
    }

    const PlanOptions& options_;
    Extent extent_;
    Eigen::Index count_;
    int full_;
    MeasuringPlan plan_;
    int since_check_ = 0;
    int checks_ = 0;
};

}  // namespace

std::string plan_kind_word(PlanKind kind) {
    for (const auto& [known, word] : kKindWords) {
        if (known == kind)
            return word;
    }
    ISOSEAM_CHECK(false, fmt::format("plan kind {}", static_cast<int>(kind)));
    return "";
}

PlanKind parse_plan_kind(const std::string& word, const std::string& key) {
    for (const auto& [kind, known] : kKindWords) {
        if (known == word)
            return kind;
    }
    throw InputError(key, fmt::format("there is no plan '{}'", word), "write one of: quick, full, drift");
}

MeasuringPlan make_plan(const PlanOptions& options) {
    check_options(options);
    return PlanMaker(options).make();
}

int planned_readings(const MeasuringPlan& plan) {
    int readings = 0;
    for (const PlanStep& step : plan.steps)
        readings += step.repeats;
    return readings;
}

PlannedTime planned_time(const MeasuringPlan& plan, double reading_s, double settle_s) {
    double at_s = 0.0;
    for (const PlanStep& step : plan.steps)
        at_s = std::max(at_s, step.earliest_s) + settle_s + step.repeats * reading_s;
    if (!plan.warm_up.watch)
        return {at_s, at_s};
    return {at_s + plan.warm_up.window_s, at_s + std::max(plan.warm_up.window_s, plan.warm_up.longest_s)};
}

}  // namespace isoseam
