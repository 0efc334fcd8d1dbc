#include "runner/commands/light/light_solve_output.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <nlohmann/json.hpp>

#include "base/errors.h"
#include "colorimetry/colour_match.h"
#include "runner/commands/json_values.h"

namespace isoseam {
namespace {

using Json = nlohmann::json;

constexpr std::array<char, 3> kLetters = {'A', 'B', 'C'};

// An amount below this share of the largest one is a rounded zero. The sensitivities have six digits, so the
// limit leaves room for a few more.
constexpr double kNoAmount = 1e-9;

void check_words(const std::vector<std::string>& words) {
    constexpr std::size_t kWords = 5;
    constexpr std::size_t kEqualsAt = 3;
    if (words.size() == kWords && words[kEqualsAt] == "=")
        return;
    const auto equals = std::count(words.begin(), words.end(), "=");
    throw InputError(Fault{
        "", 0, 0, "--solve",
        equals == 0 ? fmt::format("{} words without '='", words.size())
                    : fmt::format("'=' does not stand between three lights and one (there are {} words)",
                                  words.size()),
        "write A B C = D, each light in quotes: --solve \"monochromatic 640 nm at 10 cd/m2\" \"...\" \"...\" "
        "= \"equal-energy at 20 cd/m2\""});
}

Eigen::Vector3d without_roundings(const Eigen::Vector3d& amounts) {
    const double least = kNoAmount * amounts.cwiseAbs().maxCoeff();
    return (amounts.array().abs() > least).select(amounts, 0.0);
}

std::string letters_of(const Eigen::Vector3d& amounts, bool of_negative) {
    std::string text;
    for (std::size_t light = 0; light < 3; ++light) {
        const double amount = amounts[static_cast<Eigen::Index>(light)];
        if (amount == 0.0 || (amount < 0.0) != of_negative)
            continue;
        text += fmt::format("{}{:.6g} {}", text.empty() ? "" : " + ", std::abs(amount), kLetters[light]);
    }
    return text;
}

// Writes "0.3 A + 0.6 C = D + 0.02 B". A negative amount stands on the other side.
std::string equation(const Eigen::Vector3d& amounts) {
    const std::string with_d = letters_of(amounts, true);
    const std::string mixture = letters_of(amounts, false);
    return fmt::format("{} = D{}", mixture.empty() ? "black" : mixture, with_d.empty() ? "" : " + " + with_d);
}

// Writes the two halves in the words of lights, so that they can be used again.
Json halves(const Eigen::Vector3d& amounts, const SolvedMixture& solved) {
    std::vector<std::string> mixture;
    std::vector<std::string> other = {fmt::format("({})", solved.wanted)};
    for (std::size_t light = 0; light < 3; ++light) {
        const double amount = amounts[static_cast<Eigen::Index>(light)];
        if (amount != 0.0)
            (amount < 0.0 ? other : mixture)
                .push_back(fmt::format("{} ({})", std::abs(amount), solved.lights[light]));
    }
    return {
        {"mixture", mixture.empty() ? "black" : fmt::format("mixture {}", fmt::join(mixture, " + "))},
        {"wanted", other.size() == 1 ? solved.wanted : fmt::format("mixture {}", fmt::join(other, " + "))}};
}

std::string freedom_text(const std::vector<Eigen::Vector3d>& changes) {
    if (changes.empty())
        return "";
    std::string text = fmt::format(
        "  This eye has {}, so that is not all: it accepts {} of mixtures. To any of them, and without a "
        "change\n"
        "  that it could see, it can add any multiple, positive or negative, of\n",
        changes.size() == 1 ? "two kinds of cone" : "one kind of cone",
        changes.size() == 1 ? "a line" : "a plane");
    for (const Eigen::Vector3d& change : changes)
        text += fmt::format("    {:+.6g} A {:+.6g} B {:+.6g} C\n", change[0], change[1], change[2]);
    return text;
}

}  // namespace

SolvedMixture solved_mixture(const std::vector<std::string>& words, const LightEye& eye,
                             const std::optional<ShownOn>& screen) {
    check_words(words);
    SolvedMixture solved;
    std::array<Lms, 3> lms;
    for (std::size_t light = 0; light < 3; ++light) {
        const DescribedLight described = described_light(words[light], eye, screen);
        lms[light] = described.light.lms;
        solved.lights[light] = described.text;
        solved.spectrum_is_assumed = solved.spectrum_is_assumed || described.light.spectrum_is_assumed;
    }
    const DescribedLight wanted = described_light(words[4], eye, screen);
    const ColourMatch match = colour_match(lms, wanted.light.lms, eye.observer);
    solved.observer = eye.observer.description();
    solved.wanted = wanted.text;
    solved.condition_number = match.condition_number;
    solved.spectrum_is_assumed = solved.spectrum_is_assumed || wanted.light.spectrum_is_assumed;
    for (const Eigen::Vector3d& exact : match.mixtures) {
        const Eigen::Vector3d amounts = without_roundings(exact);
        if (std::find(solved.amounts.begin(), solved.amounts.end(), amounts) == solved.amounts.end())
            solved.amounts.push_back(amounts);
    }
    for (Eigen::Index change = 0; change < match.free_changes.cols(); ++change)
        solved.free_changes.emplace_back(match.free_changes.col(change));
    return solved;
}

nlohmann::json to_json(const SolvedMixture& solved) {
    const auto mixture_json = [&](const Eigen::Vector3d& amounts) {
        return Json{
            {"amounts", amounts}, {"is_physical", is_physical(amounts)}, {"halves", halves(amounts, solved)}};
    };
    return {{"observer", solved.observer},
            {"lights", solved.lights},
            {"wanted", solved.wanted},
            {"condition_number", solved.condition_number},
            {"spectrum_is_assumed", solved.spectrum_is_assumed},
            {"mixtures", json_list(solved.amounts, mixture_json)},
            {"free_changes", solved.free_changes}};
}

std::string solved_mixture_text(const SolvedMixture& solved) {
    std::string text;
    for (std::size_t light = 0; light < 3; ++light)
        text += fmt::format("{} = {}\n", kLetters[light], solved.lights[light]);
    text += fmt::format("D = {}\n{}\n", solved.wanted, solved.observer);
    for (const Eigen::Vector3d& amounts : solved.amounts)
        text += fmt::format("  {}\n", equation(amounts));
    const auto physical = std::count_if(solved.amounts.begin(), solved.amounts.end(), is_physical);
    if (physical == 0)
        text += "  What stands beside D had to move there: the mixture alone cannot match D.\n";
    else if (physical < static_cast<std::ptrdiff_t>(solved.amounts.size()))
        text += "  Where a light stands beside D, it had to move there.\n";
    text += freedom_text(solved.free_changes);
    text += fmt::format(
        "  condition number {:.4g}: an error of 0.1 % in what the cones catch may change the amounts by "
        "{:.2g} %\n",
        solved.condition_number, 0.1 * solved.condition_number);
    if (solved.spectrum_is_assumed)
        text +=
            "  a light given by three numbers has an assumed spectrum: name a screen with --display, or a "
            "spectrum\n";
    return text;
}

}  // namespace isoseam
