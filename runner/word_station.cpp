#include "runner/word_station.h"

#include <fmt/format.h>
#include <poll.h>
#include <unistd.h>

#include <chrono>
#include <map>
#include <thread>

#include "colorimetry/errors.h"

namespace isoseam {

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

// False when no whole word came in time. At the end of the stream what is left counts as a word.
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
    static const std::map<std::string, std::pair<int, int>> steps = {
        {"left", {0, -1}}, {"right", {0, +1}},    {"down", {1, -1}},
        {"up", {1, +1}},   {"pagedown", {2, -1}}, {"pageup", {2, +1}},
    };
    if (adapting_) {
        std::this_thread::sleep_for(std::chrono::duration<double>(timeout_s));
        return {};
    }
    std::string word;
    while (next_word(timeout_s, word)) {
        if (word == "accept")
            return {Action::Kind::accept, {}};
        if (word == "escape")
            return {Action::Kind::escape, {}};
        if (word == "coarse") {
            coarse_ = true;
            continue;
        }
        const auto step = steps.find(word);
        if (step == steps.end()) {
            throw InputError(
                Fault{"standard input", 0, 0, "", fmt::format("unknown word '{}'", word),
                      "write one of: left, right, down, up, pagedown, pageup, coarse, accept, escape"});
        }
        Action action{Action::Kind::step, {}};
        action.step = {.axis = step->second.first, .direction = step->second.second, .coarse = coarse_};
        coarse_ = false;
        return action;
    }
    return {ended_ ? Action::Kind::escape : Action::Kind::none, {}};
}

}  // namespace isoseam
