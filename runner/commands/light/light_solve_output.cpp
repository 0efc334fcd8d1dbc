#include "runner/commands/light/light_solve_output.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "base/errors.h"
#include "colorimetry/colour_match.h"

namespace isoseam {
namespace {

using Json = nlohmann::json;

constexpr std::array<char, 3> kLetters = {'A', 'B', 'C'};

// Below this share of the largest amount an amount is a rounding of zero: six digits of the sensitivities,
// and some.
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
        "write A B C = D, each light in quotes: --solve \"monochromatic 640 "
        "nm at 10 "
        "cd/m2\" \"...\" \"...\" = \"equal-energy at 20 cd/m2\""});
}

Eigen::Vector3d without_roundings(const Eigen::Vector3d& amounts) {
    const double least = kNoAmount * amounts.cwiseAbs().maxCoeff();
    return (amounts.array().abs() > least).select(amounts, 0.0);
}

std::string letters_of(const std::vector<double>& amounts, bool of_negative) {
    std::string text;
    for (std::size_t light = 0; light < 3; ++light) {
        if (amounts[light] == 0.0 || (amounts[light] < 0.0) != of_negative)
            continue;
        text +=
            fmt::format("{}{:.6g} {}", text.empty() ? "" : " + ", std::abs(amounts[light]), kLetters[light]);
    }
    return text;
}

// "0.3 A + 0.6 C = D + 0.02 B": what is negative stands on the other side.
std::string equation(const std::vector<double>& amounts) {
    const std::string with_d = letters_of(amounts, true);
    const std::string mixture = letters_of(amounts, false);
    return fmt::format("{} = D{}", mixture.empty() ? "black" : mixture, with_d.empty() ? "" : " + " + with_d);
}

// The two halves in the words of lights, ready to be used again.
Json halves(const std::vector<double>& amounts, const std::array<std::string, 3>& lights,
            const std::string& wanted) {
    std::vector<std::string> mixture;
    std::vector<std::string> other = {fmt::format("({})", wanted)};
    for (std::size_t light = 0; light < 3; ++light) {
        if (amounts[light] != 0.0)
            (amounts[light] < 0.0 ? other : mixture)
                .push_back(fmt::format("{} ({})", std::abs(amounts[light]), lights[light]));
    }
    return {{"mixture", mixture.empty() ? "black" : fmt::format("mixture {}", fmt::join(mixture, " + "))},
            {"wanted", other.size() == 1 ? wanted : fmt::format("mixture {}", fmt::join(other, " + "))}};
}

std::vector<double> listed(const Eigen::Vector3d& vector) {
    return {vector[0], vector[1], vector[2]};
}

void print_freedom(const Json& json) {
    const Json& changes = json["free_changes"];
    if (changes.empty())
        return;
    fmt::print(
        "  This eye has {}, so that is not all: it accepts {} of mixtures. To any of them, and without a "
        "change\n"
        "  that it could see, it can add any multiple, positive or negative, of\n",
        changes.size() == 1 ? "two kinds of cone" : "one kind of cone",
        changes.size() == 1 ? "a line" : "a plane");
    for (const Json& change : changes)
        fmt::print("    {:+.6g} A {:+.6g} B {:+.6g} C\n", change[0].get<double>(), change[1].get<double>(),
                   change[2].get<double>());
}

}  // namespace

nlohmann::json solved_json(const std::vector<std::string>& words, const LightEye& eye,
                           const std::optional<ShownOn>& screen) {
    check_words(words);
    std::array<Lms, 3> lms;
    std::array<std::string, 3> texts;
    bool assumed = false;
    for (std::size_t light = 0; light < 3; ++light) {
        const DescribedLight described = described_light(words[light], eye, screen);
        lms[light] = described.light.lms;
        texts[light] = described.text;
        assumed = assumed || described.light.spectrum_is_assumed;
    }
    const DescribedLight wanted = described_light(words[4], eye, screen);
    const ColourMatch match = colour_match(lms, wanted.light.lms, eye.observer);
    Json json = {{"observer", eye.observer.description()},
                 {"lights", texts},
                 {"wanted", wanted.text},
                 {"condition_number", match.condition_number},
                 {"spectrum_is_assumed", assumed || wanted.light.spectrum_is_assumed},
                 {"mixtures", Json::array()},
                 {"free_changes", Json::array()}};
    for (const Eigen::Vector3d& exact : match.mixtures) {
        const Eigen::Vector3d amounts = without_roundings(exact);
        const Json mixture = {{"amounts", listed(amounts)},
                              {"is_physical", is_physical(amounts)},
                              {"halves", halves(listed(amounts), texts, wanted.text)}};
        if (std::find(json["mixtures"].begin(), json["mixtures"].end(), mixture) == json["mixtures"].end())
            json["mixtures"].push_back(mixture);
    }
    for (Eigen::Index change = 0; change < match.free_changes.cols(); ++change)
        json["free_changes"].push_back(listed(match.free_changes.col(change)));
    return json;
}

void print_solved(const nlohmann::json& json) {
    for (std::size_t light = 0; light < 3; ++light)
        fmt::print("{} = {}\n", kLetters[light], json["lights"][light].get<std::string>());
    fmt::print("D = {}\n{}\n", json["wanted"].get<std::string>(), json["observer"].get<std::string>());
    for (const Json& mixture : json["mixtures"])
        fmt::print("  {}\n", equation(mixture["amounts"].get<std::vector<double>>()));
    const auto physical =
        std::count_if(json["mixtures"].begin(), json["mixtures"].end(),
                      [](const Json& mixture) { return mixture["is_physical"].get<bool>(); });
    if (physical == 0)
        fmt::print("  What stands beside D had to move there: the mixture alone cannot match D.\n");
    else if (physical < static_cast<std::ptrdiff_t>(json["mixtures"].size()))
        fmt::print("  Where a light stands beside D, it had to move there.\n");
    print_freedom(json);
    fmt::print(
        "  condition number {:.4g}: an error of 0.1 % in what the cones catch may change the amounts by "
        "{:.2g} %\n",
        json["condition_number"].get<double>(), 0.1 * json["condition_number"].get<double>());
    if (json["spectrum_is_assumed"].get<bool>())
        fmt::print(
            "  a light given by three numbers has an assumed spectrum: name a screen with --display, or a "
            "spectrum\n");
}

}  // namespace isoseam
