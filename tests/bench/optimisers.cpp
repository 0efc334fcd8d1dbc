// What our two searches reach, beside general-purpose ones of NLopt: the value, the evaluations of the
// function and the time. Run by hand: build/release/tests/bench_optimisers

#include <fmt/format.h>
#include <nlopt.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <fstream>
#include <functional>
#include <limits>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "analysis/statistics/box_maximum.h"
#include "base/psychometric_function.h"
#include "base/random.h"
#include "calibration/fit/box_least_squares.h"
#include "calibration/tone_response.h"

using namespace isoseam;

namespace {

using Point = std::vector<double>;
using Function = std::function<double(const Point&)>;
constexpr double kImpossible = -1e6;  // what NLopt is given where a likelihood is minus infinity
constexpr int kMostEvaluations = 20000;

struct Reached {
    double value = 0.0;
    long evaluations = 0;
    double seconds = 0.0;
};

// Counts what a search asks for.
struct Counted {
    const Function& function;
    long evaluations = 0;
    double operator()(const Point& at) {
        ++evaluations;
        return function(at);
    }
};

template <class Search>
Reached timed(const Function& function, const Search& search) {
    Counted counted{function};
    const auto from = std::chrono::steady_clock::now();
    const double value = search(counted);
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - from;
    return {value, counted.evaluations, took.count()};
}

// NLopt's view of a function over a box; slopes, where a method asks for them, by differences.
struct Problem {
    Counted& counted;
    const Point& low;
    const Point& high;

    double value(const Point& at) const { return std::max(kImpossible, counted(at)); }
    static double call(unsigned count, const double* x, double* gradient, void* data) {
        constexpr double kStep = 1e-7;  // of the width of the box
        const Problem& problem = *static_cast<const Problem*>(data);
        Point at(x, x + count);
        const double here = problem.value(at);
        for (unsigned i = 0; gradient != nullptr && i < count; ++i) {
            const double step = kStep * (problem.high[i] - problem.low[i]);
            const double moved = at[i] + step <= problem.high[i] ? at[i] + step : at[i] - step;
            Point there = at;
            there[i] = moved;
            gradient[i] = (problem.value(there) - here) / (moved - at[i]);
        }
        return here;
    }
};

double nlopt_maximum(nlopt_algorithm algorithm, Counted& counted, const Point& low, const Point& high,
                     Point start, const Point& step) {
    Problem problem{counted, low, high};
    const std::unique_ptr<nlopt_opt_s, decltype(&nlopt_destroy)> search(
        nlopt_create(algorithm, static_cast<unsigned>(start.size())), &nlopt_destroy);
    nlopt_set_max_objective(search.get(), &Problem::call, &problem);
    nlopt_set_lower_bounds(search.get(), low.data());
    nlopt_set_upper_bounds(search.get(), high.data());
    nlopt_set_initial_step(search.get(), step.data());
    nlopt_set_ftol_abs(search.get(), 1e-11);
    nlopt_set_xtol_rel(search.get(), 1e-9);
    nlopt_set_maxeval(search.get(), kMostEvaluations);
    double best = -std::numeric_limits<double>::infinity();
    nlopt_optimize(search.get(), start.data(), &best);
    return best;
}

struct Method {
    const char* name;
    nlopt_algorithm algorithm;
};
constexpr Method kMethods[] = {
    {"BOBYQA", NLOPT_LN_BOBYQA}, {"COBYLA", NLOPT_LN_COBYLA}, {"SLSQP", NLOPT_LD_SLSQP}};

// A likelihood over ln threshold (weibull) or threshold, ln slope, and guess and lapse where they are free.
struct Likelihood {
    std::string name;
    PsychometricForm form;
    std::vector<LevelCount> counts;
    double guess = 0.0;
    double lapse = 0.0;
    bool free_rates = false;

    PsychometricFunction curve(const Point& at) const {
        return {form, form == PsychometricForm::weibull ? std::exp(at[0]) : at[0], std::exp(at[1]),
                free_rates ? at[2] : guess, free_rates ? at[3] : lapse};
    }
    std::vector<BoxDimension> dimensions() const {
        const bool weibull = form == PsychometricForm::weibull;
        const auto level = [&](double value) { return weibull ? std::log(value) : value; };
        const double low = level(counts.front().level);
        const double high = level(counts.back().level);
        const double span = high - low;
        std::vector<BoxDimension> box;
        box.push_back(even(low - (weibull ? 7.0 : 20.0 * span), high + (weibull ? 7.0 : 20.0 * span), 8));
        for (int i = 0; i <= 40; ++i)
            box[0].grid.push_back(low - 0.25 * span + 1.5 * span * i / 40.0);
        box[0].step = 1.5 * span / 40.0;
        box.push_back(weibull ? even(std::log(0.1), std::log(50.0), 13)
                              : even(std::log(0.1 / span), std::log(1000.0 / span), 13));
        if (free_rates) {
            box.push_back({0.0, 0.6, {0.012, 0.12, 0.36}, 0.06});
            box.push_back({0.0, 0.2, {0.004, 0.04, 0.12}, 0.02});
        }
        return box;
    }
    static BoxDimension even(double low, double high, int points) {
        BoxDimension dimension{low, high, {}, (high - low) / (points - 1)};
        for (int i = 0; i < points; ++i)
            dimension.grid.push_back(i + 1 == points ? high : low + dimension.step * i);
        return dimension;
    }
};

// The best point of the grid from which our search climbs, as a start for the others.
Point best_of_grid(Counted& function, const std::vector<BoxDimension>& box) {
    Point best;
    double value = -std::numeric_limits<double>::infinity();
    std::vector<std::size_t> index(box.size(), 0);
    for (std::size_t i = 0; i < box.size();) {
        Point at;
        for (std::size_t k = 0; k < box.size(); ++k)
            at.push_back(box[k].grid[index[k]]);
        const double here = function(at);
        if (best.empty() || here > value) {
            best = at;
            value = here;
        }
        for (i = 0; i < box.size() && ++index[i] == box[i].grid.size(); ++i)
            index[i] = 0;
    }
    return best;
}

struct Tally {
    std::string name;
    int reached = 0;
    double most_missed = 0.0;
    long evaluations = 0;
    double seconds = 0.0;
};

void compare(const std::string& title, const std::vector<Likelihood>& problems) {
    constexpr double kSame = 1e-6;  // what psychometric_fit cannot tell apart
    std::vector<Tally> tallies(1 + 2 * std::size(kMethods));
    for (const Likelihood& one : problems) {
        const std::vector<BoxDimension> box = one.dimensions();
        const Function function = [&](const Point& at) { return log_likelihood(one.curve(at), one.counts); };
        Point low, high, middle, step;
        for (const BoxDimension& dimension : box) {
            low.push_back(dimension.low);
            high.push_back(dimension.high);
            middle.push_back(0.5 * (dimension.low + dimension.high));
            step.push_back(dimension.step);
        }
        std::vector<Reached> all;
        all.push_back(timed(function, [&](Counted& counted) {
            return maximum_in_box([&](const Point& at) { return counted(at); }, box).value;
        }));
        tallies[0].name = "maximum_in_box";
        for (const Method& method : kMethods) {
            tallies[all.size()].name = fmt::format("{} from the middle", method.name);
            all.push_back(timed(function, [&](Counted& counted) {
                return nlopt_maximum(method.algorithm, counted, low, high, middle, step);
            }));
            tallies[all.size()].name = fmt::format("{} from the best of our grid", method.name);
            all.push_back(timed(function, [&](Counted& counted) {
                return nlopt_maximum(method.algorithm, counted, low, high, best_of_grid(counted, box), step);
            }));
        }
        double best = -std::numeric_limits<double>::infinity();
        for (const Reached& reached : all)
            best = std::max(best, reached.value);
        for (std::size_t i = 0; i < all.size(); ++i) {
            tallies[i].reached += all[i].value >= best - kSame ? 1 : 0;
            tallies[i].most_missed = std::max(tallies[i].most_missed, best - all[i].value);
            tallies[i].evaluations += all[i].evaluations;
            tallies[i].seconds += all[i].seconds;
        }
    }
    const auto count = static_cast<double>(problems.size());
    fmt::print("{}, {} sets of counts\n{:38}{:>10}{:>14}{:>14}{:>10}\n", title, problems.size(), "",
               "reached", "most missed", "evaluations", "ms");
    for (const Tally& tally : tallies)
        fmt::print("{:38}{:>9.1f}%{:>14.2g}{:>14.0f}{:>10.3f}\n", tally.name, 100.0 * tally.reached / count,
                   tally.most_missed, static_cast<double>(tally.evaluations) / count,
                   1e3 * tally.seconds / count);
}

std::vector<LevelCount> counts_of(const nlohmann::json& one) {
    std::vector<LevelCount> counts;
    for (std::size_t i = 0; i < one["x"].size(); ++i)
        counts.push_back({one["x"][i].get<double>(), one["n"][i].get<int>(), one["k"][i].get<int>()});
    std::sort(counts.begin(), counts.end(), [](const auto& a, const auto& b) { return a.level < b.level; });
    return counts;
}

// The counts of the tests, with the rates given and free.
std::vector<Likelihood> published_problems() {
    std::ifstream file(ISOSEAM_SOURCE_DIR "/tests/published/O7_psychometric_fits.json");
    const nlohmann::json data = nlohmann::json::parse(file);
    std::vector<Likelihood> problems;
    for (const bool free_rates : {false, true}) {
        for (const nlohmann::json& one : data["weibull"])
            problems.push_back({"weibull", PsychometricForm::weibull, counts_of(one), 0.5, 0.02, free_rates});
        for (const nlohmann::json& one : data["probit"]["cases"])
            problems.push_back(
                {"probit", PsychometricForm::cumulative_normal, counts_of(one), 0.0, 0.0, free_rates});
    }
    return problems;
}

// What a bootstrap fits again and again: small sets drawn from a curve.
std::vector<Likelihood> drawn_problems(bool free_rates) {
    constexpr int kSets = 300;
    constexpr int kTrials = 10;
    const PsychometricFunction truth{PsychometricForm::weibull, 0.05, 2.5, 0.5, 0.02};
    std::vector<Likelihood> problems;
    for (std::uint64_t set = 0; set < kSets; ++set) {
        const RandomStream random{set, 911};
        std::uint64_t draw = 0;
        std::vector<LevelCount> counts;
        for (const double level : {0.02, 0.03, 0.04, 0.055, 0.075, 0.1}) {
            counts.push_back({level, kTrials, 0});
            for (int trial = 0; trial < kTrials; ++trial)
                counts.back().successes += random.uniform(draw++) < success_probability(truth, level) ? 1 : 0;
        }
        problems.push_back({"drawn", PsychometricForm::weibull, counts, 0.5, 0.02, free_rates});
    }
    return problems;
}

void print_squares(const std::string& name, const Reached& reached) {
    fmt::print("{:38}{:>16.9g}{:>14}{:>10.3f}\n", name, reached.value, reached.evaluations,
               1e3 * reached.seconds);
}

// The same sum of squares by our search and by SLSQP, from the same start. Evaluations count every call of
// the residuals.
void compare_squares(const std::string& title, const Residuals& residuals, const Eigen::VectorXd& start,
                     const Box& box) {
    const auto vector = [](const Point& at) {
        return Eigen::VectorXd(
            Eigen::Map<const Eigen::VectorXd>(at.data(), static_cast<Eigen::Index>(at.size())));
    };
    const auto point = [](const Eigen::VectorXd& at) { return Point(at.begin(), at.end()); };
    fmt::print("{}\n{:38}{:>16}{:>14}{:>10}\n", title, "", "sum of squares", "evaluations", "ms");
    const Function sum = [&](const Point& at) { return -residuals(vector(at)).squaredNorm(); };
    print_squares("least_squares_in_box", timed(sum, [&](Counted& counted) {
                      const Residuals asked = [&](const Eigen::VectorXd& at) {
                          ++counted.evaluations;
                          return residuals(at);
                      };
                      return least_squares_in_box(asked, start, box).sum_of_squares;
                  }));
    const Point step = point(0.05 * (box.highest - box.lowest));
    for (const Method& method : kMethods)
        print_squares(method.name, timed(sum, [&](Counted& counted) {
                          return -nlopt_maximum(method.algorithm, counted, point(box.lowest),
                                                point(box.highest), point(start), step);
                      }));
}

// A gain-offset-gamma curve through 33 levels of the curve of IEC 61966-2-1, in cube roots of light, each
// reading off by up to `noise` of itself. The parameters are offset, exponent and the logarithm of the scale,
// as in tone_fit.cpp.
void compare_tone(double noise) {
    const ToneResponse truth = ToneResponse::of_form(ToneForm::offset_power, {0.055, 2.4});
    const RandomStream random{1, 912};
    constexpr int kLevels = 33;
    Eigen::VectorXd drive = Eigen::VectorXd::LinSpaced(kLevels, 0.0, 1.0);
    Eigen::VectorXd light(kLevels);
    for (Eigen::Index i = 0; i < kLevels; ++i)
        light[i] = std::cbrt(truth.linear_from_drive(drive[i]) *
                             (1.0 + noise * (2.0 * random.uniform(static_cast<std::uint64_t>(i)) - 1.0)));
    const Residuals residuals = [&](const Eigen::VectorXd& p) {
        const ToneResponse curve = ToneResponse::of_form(ToneForm::gain_offset_gamma, {p[0], p[1]});
        Eigen::VectorXd values(kLevels);
        for (Eigen::Index i = 0; i < kLevels; ++i)
            values[i] = std::cbrt(std::exp(p[2]) * curve.linear_from_drive(drive[i])) - light[i];
        return values;
    };
    compare_squares(fmt::format("tone curve, readings off by up to {} %", 100.0 * noise), residuals,
                    Eigen::Vector3d(0.02, 2.2, 0.0),
                    {Eigen::Vector3d(0.0, 0.1, -0.5), Eigen::Vector3d(0.9, 10.0, 0.5)});
}

}  // namespace

int main() {
    compare("likelihoods of the published counts", published_problems());
    compare("likelihoods of small sets, rates given", drawn_problems(false));
    compare("likelihoods of small sets, rates free", drawn_problems(true));
    const Residuals valley = [](const Eigen::VectorXd& p) {
        return Eigen::VectorXd(Eigen::Vector2d(10.0 * (p[1] - p[0] * p[0]), 1.0 - p[0]));
    };
    const Eigen::Vector2d start(-1.2, 1.0);
    compare_squares("Rosenbrock's valley", valley, start, {Eigen::Vector2d(-2, -2), Eigen::Vector2d(2, 2)});
    compare_squares("Rosenbrock's valley with a wall before its end", valley, start,
                    {Eigen::Vector2d(-2, -2), Eigen::Vector2d(0.5, 2)});
    compare_tone(0.0);
    compare_tone(0.02);
}
