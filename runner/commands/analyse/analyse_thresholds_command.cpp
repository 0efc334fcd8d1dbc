
#include <fmt/format.h>

#include <charconv>
#include <memory>
#include <nlohmann/json.hpp>

#include "analysis/summaries/threshold_summary.h"
#include "runner/commands/all_commands.h"
#include "runner/commands/analyse/analyse_parts.h"

namespace isoseam {
namespace {

struct Words {
    std::vector<std::string> folders;
    std::string form = "weibull";
    std::string guess = "0";
    std::string lapse = "0.02";
    int bootstrap = 0;
    bool posterior = false;
    std::uint64_t seed = 1;
};

std::optional<double> rate_of(const char* option, const std::string& word) {
    if (word == "free")
        return std::nullopt;
    double value = 0.0;
    const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), value);
    if (error != std::errc() || end != word.data() + word.size())
        throw InputError(Fault{"", 0, 0, option, fmt::format("'{}' is no rate", word),
                               "write a number from 0 to below 1, or free"});
    return value;
}

ThresholdOptions options_of(const Words& words) {
    ThresholdOptions options;
    for (const PsychometricForm form :
         {PsychometricForm::weibull, PsychometricForm::logistic, PsychometricForm::cumulative_normal})
        if (words.form == to_string(form))
            options.form = form;
    options.guess = rate_of("--guess", words.guess);
    options.lapse = rate_of("--lapse", words.lapse);
    options.bootstrap = words.bootstrap;
    options.posterior = words.posterior;
    options.seed = words.seed;
    return options;
}

ExitStatus thresholds(const Words& words, bool json) {
    const ThresholdOptions options = options_of(words);
    std::vector<SessionFolder> folders;
    read_in_order(words.folders, ReadFor::records,
                  [&](SessionFolder&& folder) { folders.push_back(std::move(folder)); });
    const ThresholdSummary summary = summarise_thresholds(folders, options);
    return print_summary(summary, threshold_summary_text(summary), json);
}

}  // namespace

void add_analyse_thresholds_command(Command& analyse) {
    constexpr int kMostSamples = 100000;
    const auto words = std::make_shared<Words>();
    Command* command = add_folders_command(
        analyse, "thresholds", "answers to tasks: counts, threshold and slope with their uncertainty",
        words->folders);
    command
        ->add_option("--form", words->form, "psychometric function: weibull, logistic or cumulative_normal")
        ->check(one_of({"weibull", "logistic", "cumulative_normal"}))
        ->capture_default_str();
    command
        ->add_option(
            "--guess", words->guess,
            "guess rate of yes or no and same or different, or free; of forced choice it is 1 / places")
        ->capture_default_str();
    command->add_option("--lapse", words->lapse, "lapse rate, or free")->capture_default_str();
    command->add_option("--bootstrap", words->bootstrap, "samples of a parametric bootstrap; 0: none")
        ->check(within(0, kMostSamples))
        ->capture_default_str();
    command->add_flag("--posterior", words->posterior, "the posterior under flat priors too");
    command->add_option("--seed", words->seed, "of the bootstrap")
        ->check(whole_number())
        ->capture_default_str();
    finish_command(command, words, thresholds);
}

}  // namespace isoseam
