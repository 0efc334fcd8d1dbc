#include "runner/station/word_station.h"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <poll.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <thread>
#include <utility>

#include "base/errors.h"
#include "protocols/setup/setup.h"
#include "runner/station/bindings.h"

namespace isoseam {
namespace {

const std::string kCoarse = "coarse";
const std::string kType = "type-";

bool is_number(const std::string& word) {
    return word.size() > kType.size() && word.compare(0, kType.size(), kType) == 0 &&
           word.find_first_not_of("0123456789.-", kType.size()) == std::string::npos;
}

std::vector<std::string> possible_words(const std::vector<Binding>& now) {
    std::vector<std::string> words;
    bool steps = false;
    bool types = false;
    for (const Binding& binding : now) {
        if (!binding.word.empty())
            words.push_back(binding.word);
        steps = steps || std::holds_alternative<StepTaken>(binding.action);
        types = types || (std::holds_alternative<Typed>(binding.action) && binding.word.empty());
    }
    if (steps)
        words.push_back(kCoarse);
    if (types)
        words.push_back(kType + "NUMBER");
    return words;
}

}  // namespace

std::vector<SourceRecord> sources_as_calibrated(const Setup& setup) {
    std::vector<SourceRecord> records;
    for (int source = 0; source < setup.source_count(); ++source) {
        SourceRecord record;
        record.name = setup.protocol().rig.sources[static_cast<std::size_t>(source)].name;
        record.bits = setup.solver(source).display().calibration().bits;
        records.push_back(record);
    }
    return records;
}

std::vector<SourceRecord> WordStation::sources() const {
    return sources_as_calibrated(setup_);
}

double WordStation::now_s() {
    return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

// Returns false when no whole word came in time. At the end of the stream, what is left counts as a word.
bool WordStation::next_word(double timeout_s, std::string& word) {
    const double until_s = now_s() + timeout_s;
    for (;;) {
        const std::size_t from = pending_.find_first_not_of(" \t\r\n");
        const std::size_t to =
            from == std::string::npos ? std::string::npos : pending_.find_first_of(" \t\r\n", from);
        if (to != std::string::npos || (ended_ && from != std::string::npos)) {
            word = pending_.substr(from, to == std::string::npos ? to : to - from);
            pending_.erase(0, to);
            return true;
        }
        const double left_s = until_s - now_s();
        if (ended_ || left_s <= 0.0)
            return false;
        pollfd waiting{descriptor_, POLLIN, 0};
        if (poll(&waiting, 1, static_cast<int>(left_s * 1000.0) + 1) <= 0)
            continue;
        char buffer[4096];
        const ssize_t count = read(descriptor_, buffer, sizeof buffer);
        if (count <= 0)
            ended_ = true;
        else
            pending_.append(buffer, static_cast<std::size_t>(count));
    }
}

Action WordStation::wait(double timeout_s) {
    if (adapting_ || std::holds_alternative<ExpectNothing>(expected_)) {
        std::this_thread::sleep_for(std::chrono::duration<double>(timeout_s));
        return {};
    }
    std::string word;
    while (typed_.empty() && next_word(timeout_s, word)) {
        const Action action = meaning_of(word);
        if (!std::holds_alternative<NoAction>(action))
            return action;
    }
    if (!typed_.empty())
        return next_typed();
    return ended_ ? Action(Escaped{}) : NoAction{};
}

void WordStation::expect(const Expected& expected) {
    expected_ = expected;
    typed_.clear();
    coarse_ = false;
}

int WordStation::take_ignored_presses() {
    return std::exchange(ignored_, 0);
}

// Returns NoAction for a word that the station itself takes note of, or that means nothing now.
Action WordStation::meaning_of(const std::string& word) {
    const std::vector<Binding> now = bindings(expected_);
    const auto found = std::find_if(now.begin(), now.end(), [&](const Binding& b) { return b.word == word; });
    if (found != now.end()) {
        Action action = found->action;
        if (auto* const step = std::get_if<StepTaken>(&action))
            step->coarse = std::exchange(coarse_, false);
        return action;
    }
    const bool steps = std::any_of(
        now.begin(), now.end(), [](const Binding& b) { return std::holds_alternative<StepTaken>(b.action); });
    if (word == kCoarse && steps) {
        coarse_ = true;
    } else if (is_number(word)) {
        for (const char character : word.substr(kType.size())) {
            const bool counts = std::holds_alternative<ExpectNumber>(expected_) &&
                                std::any_of(now.begin(), now.end(), [&](const Binding& b) {
                                    const auto* const typed = std::get_if<Typed>(&b.action);
                                    return typed != nullptr && typed->character == character;
                                });
            if (counts)
                typed_.push_back(character);
            else
                ++ignored_;
        }
    } else if (is_word_of_some_moment(word)) {
        ++ignored_;
    } else {
        throw InputError(Fault{"standard input", 0, 0, "", fmt::format("unknown word '{}'", word),
                               fmt::format("write one of: {}", fmt::join(possible_words(now), ", "))});
    }
    return {};
}

Action WordStation::next_typed() {
    const char character = typed_.front();
    typed_.pop_front();
    return Typed{character};
}

}  // namespace isoseam
