#include "protocols/lectures/reveal_words.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cmath>

namespace isoseam {
namespace {

// The texts of one language. Each comment says what is put in the places of {}.
struct RevealTexts {
    const char* pair;         // The names of the two lights that the next sentences are about.
    const char* mean_alike;   // The age of the mean eye.
    const char* mean_differ;  // The age of the mean eye, and the differences that it sees.
    // The cone and the percentage.
    const char* more;
    const char* less;
    const char* from_dark;  // The cone.
    // The cones.
    const char* cones_alike;
    const char* cones_differ;
    const char* eyes_none;  // The number of all eyes.
    const char* eyes_some;  // The number of all eyes, and the number of those that see a difference.
    const char* eyes_all;   // The number of all eyes.
    // The missing cones.
    const char* lacking_alike;
    const char* lacking_differ;
    const char* limit;  // The percentage for L and M, and the one for S.
    const char* and_word;
    // These words stand between names of cones.
    const char* cones_and;
    const char* cones_or;
};

constexpr RevealTexts kEnglish{
    "Light {} and light {}:",
    "A calculated mean eye of {:.0f} years catches the same from both: to it they look alike.",
    "A calculated mean eye of {:.0f} years tells them apart: from the second light {}.",
    "{} catches {} % more",
    "{} catches {} % less",
    "{} catches something where the first light gives it nothing",
    "With {} cones alone they look alike: what is caught is the same from both.",
    "With {} cones alone they can still be told apart.",
    "Of {} calculated eyes, as different as eyes with three kinds of cones usually are, none would tell them "
    "apart.",
    "Of {} calculated eyes, as different as eyes with three kinds of cones usually are, {} would tell them "
    "apart.",
    "All of {} calculated eyes, as different as eyes with three kinds of cones usually are, would tell them "
    "apart.",
    "To a calculated eye that lacks {} cones they look alike.",
    "A calculated eye that lacks {} cones tells them apart.",
    "Counted as different: from {:g} % in L or M, from {:g} % in S. This is a calculation about lights; it "
    "says "
    "nothing about the eyes of anybody here.",
    " and ",
    " and ",
    " or ",
};

constexpr RevealTexts kGerman{
    "Licht {} und Licht {}:",
    "Ein berechnetes mittleres Auge von {:.0f} Jahren fängt von beiden gleich viel: für dieses Auge sehen "
    "sie "
    "gleich aus.",
    "Ein berechnetes mittleres Auge von {:.0f} Jahren unterscheidet sie: Vom zweiten Licht fangen {}.",
    "{}-Zapfen {} % mehr",
    "{}-Zapfen {} % weniger",
    "{}-Zapfen etwas, wo das erste Licht ihnen nichts gibt",
    "Mit {}-Zapfen allein sehen sie gleich aus: Gefangen wird von beiden gleich viel.",
    "Auch mit {}-Zapfen allein sind sie noch zu unterscheiden.",
    "Von {} berechneten Augen, so verschieden wie Augen mit drei Arten von Zapfen gewöhnlich sind, würde "
    "keines "
    "sie unterscheiden.",
    "Von {} berechneten Augen, so verschieden wie Augen mit drei Arten von Zapfen gewöhnlich sind, würden {} "
    "sie "
    "unterscheiden.",
    "Alle {} berechneten Augen, so verschieden wie Augen mit drei Arten von Zapfen gewöhnlich sind, würden "
    "sie "
    "unterscheiden.",
    "Für ein berechnetes Auge, dem {}-Zapfen fehlen, sehen sie gleich aus.",
    "Ein berechnetes Auge, dem {}-Zapfen fehlen, unterscheidet sie.",
    "Als verschieden zählt: ab {:g} % bei L oder M, ab {:g} % bei S. Das ist eine Rechnung über Lichter; "
    "über die "
    "Augen von irgendjemandem hier sagt sie nichts.",
    " und ",
    "- und ",
    "- oder ",
};

constexpr std::array<const char*, 3> kCones{"L", "M", "S"};

std::string joined(std::vector<std::string> parts, const char* and_word) {
    if (parts.size() < 2)
        return parts.empty() ? "" : parts.front();
    const std::string last = parts.back();
    parts.pop_back();
    return fmt::format("{}{}{}", fmt::join(parts, ", "), and_word, last);
}

// A percentage has about two digits, because a class cannot take in more.
std::string percent_words(double contrast) {
    const double percent = 100.0 * std::abs(contrast);
    return percent < 10.0 ? fmt::format("{:.2g}", percent) : fmt::format("{:.0f}", percent);
}

// Says for each cone that sees the difference how large it is.
std::string differences(const EyeDifference& eye, const RevealTexts& texts) {
    std::vector<std::string> parts;
    for (std::size_t cone = 0; cone < kCones.size(); ++cone) {
        if (!eye.is_seen[cone])
            continue;
        const std::optional<double>& contrast = eye.contrast[cone];
        parts.push_back(contrast ? fmt::format(fmt::runtime(*contrast > 0.0 ? texts.more : texts.less),
                                               kCones[cone], percent_words(*contrast))
                                 : fmt::format(fmt::runtime(texts.from_dark), kCones[cone]));
    }
    return joined(std::move(parts), texts.and_word);
}

void tell_cones(const Revealed& revealed, const RevealedPair& pair, const RevealTexts& texts,
                std::vector<std::string>& words) {
    std::vector<std::string> cones;
    for (std::size_t cone = 0; cone < kCones.size(); ++cone) {
        if (revealed.cones[cone])
            cones.emplace_back(kCones[cone]);
    }
    if (cones.size() == kCones.size())
        return;
    words.push_back(
        fmt::format(fmt::runtime(pair.with_cones_shown.is_alike() ? texts.cones_alike : texts.cones_differ),
                    joined(std::move(cones), texts.cones_and)));
}

void tell_population(const PopulationDifference& population, const RevealTexts& texts,
                     std::vector<std::string>& words) {
    const char* text = texts.eyes_some;
    if (population.seen_by_any == 0)
        text = texts.eyes_none;
    if (population.seen_by_any == population.eyes)
        text = texts.eyes_all;
    words.push_back(fmt::format(fmt::runtime(text), population.eyes, population.seen_by_any));
}

// Tells what dichromats would see, but only where one of them comes to another result than the mean eye,
// because a class has enough to read.
void tell_dichromats(const RevealedPair& pair, const RevealTexts& texts, std::vector<std::string>& words) {
    const std::array<EyeType, 3> without{EyeType::protanope, EyeType::deuteranope, EyeType::tritanope};
    std::vector<std::string> alike;
    std::vector<std::string> differ;
    for (std::size_t cone = 0; cone < kCones.size(); ++cone)
        (pair.dichromats_see.at(without[cone]) ? differ : alike).emplace_back(kCones[cone]);
    if ((pair.nominal.is_alike() ? differ : alike).empty())
        return;
    if (!differ.empty())
        words.push_back(fmt::format(fmt::runtime(texts.lacking_differ), joined(differ, texts.cones_or)));
    if (!alike.empty())
        words.push_back(fmt::format(fmt::runtime(texts.lacking_alike), joined(alike, texts.cones_or)));
}

}  // namespace

std::vector<std::string> reveal_words(const Revealed& revealed, const std::string& language) {
    const RevealTexts& texts = language.substr(0, 2) == "de" ? kGerman : kEnglish;
    std::vector<std::string> words;
    for (const RevealedPair& pair : revealed.pairs) {
        if (revealed.pairs.size() > 1)
            words.push_back(fmt::format(fmt::runtime(texts.pair), pair.first + 1, pair.second + 1));
        tell_cones(revealed, pair, texts, words);
        const double age_years = revealed.nominal.age.years();
        words.push_back(pair.nominal.is_alike() ? fmt::format(fmt::runtime(texts.mean_alike), age_years)
                                                : fmt::format(fmt::runtime(texts.mean_differ), age_years,
                                                              differences(pair.nominal, texts)));
        tell_population(pair.population, texts, words);
        tell_dichromats(pair, texts, words);
    }
    words.push_back(
        fmt::format(fmt::runtime(texts.limit), 100.0 * revealed.threshold.l_m, 100.0 * revealed.threshold.s));
    return words;
}

}  // namespace isoseam
