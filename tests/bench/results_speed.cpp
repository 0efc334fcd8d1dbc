// How long `isoseam results` and `isoseam analyse matches` take over many session folders, and how much
// memory: check, table and summary over half of the folders and over all of them, and, as a yardstick in the
// same run, sqlite3's command-line tool importing the very table that was printed and grouping its rows. The
// settings are those of one rehearsed session, over and over, each line with its own number, time and
// checksum. Run by hand: ./dev build release bench_results_speed isoseam &&
// build/release/tests/bench_results_speed [FOLDERS [SETTINGS [DIRECTORY]]]
#include <fcntl.h>
#include <fmt/format.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <stdexcept>
#include <vector>

#include "base/ordered_work.h"
#include "base/processors.h"
#include "results_schema/session_folder.h"
#include "results_schema/session_log.h"

using namespace isoseam;
namespace fs = std::filesystem;

namespace {

const std::string kProgram = ISOSEAM_BINARY_DIR "/runner/isoseam";

struct Cost {
    double clock_s = 0.0;
    double processor_s = 0.0;  // all threads, kernel included
    double peak_mb = 0.0;      // resident; not less than this program's own when it started the other
};

double seconds(const timeval& time) {
    return static_cast<double>(time.tv_sec) + 1e-6 * static_cast<double>(time.tv_usec);
}

// Runs a program with its standard output in a file.
Cost cost_of(const std::vector<std::string>& words, const std::string& output = "/dev/null") {
    std::vector<char*> arguments;
    for (const std::string& word : words)
        arguments.push_back(const_cast<char*>(word.c_str()));
    arguments.push_back(nullptr);
    const auto from = std::chrono::steady_clock::now();
    const pid_t child = vfork();
    if (child == 0) {
        const int file = open(output.c_str(), O_CREAT | O_TRUNC | O_WRONLY | O_CLOEXEC, 0666);
        dup2(file, STDOUT_FILENO);
        execvp(arguments[0], arguments.data());
        _exit(127);
    }
    int status = 0;
    rusage usage{};
    wait4(child, &status, 0, &usage);
    if (!WIFEXITED(status) || WEXITSTATUS(status) != 0)
        throw std::runtime_error(words[0] + " failed");
    constexpr double kMbOfKib = 1024.0 * 1e-6;
    return {std::chrono::duration<double>(std::chrono::steady_clock::now() - from).count(),
            seconds(usage.ru_utime) + seconds(usage.ru_stime),
            kMbOfKib * static_cast<double>(usage.ru_maxrss)};
}

SessionFolder rehearsed(const std::string& place) {
    cost_of({kProgram, "session", "rehearse",
             ISOSEAM_SOURCE_DIR "/protocols/library/precision_one_screen.yaml", "--observers", "1", "--seed",
             "1", "--out", place});
    return read_session_folder(fs::directory_iterator(place)->path());
}

std::string write_session(const std::string& place, const SessionFolder& pattern, int participant,
                          int settings) {
    SessionHeader header = pattern.header;
    header.participant = fmt::format("P{:05}", participant);
    header.planned_settings = settings;
    SessionLog log = SessionLog::create(place, header, Durability::with_others);
    double time_s = 0.0;
    log.append(time_s, "session_started", nlohmann::json::object());
    for (int trial = 1; trial <= settings; ++trial) {
        SettingRecord setting = pattern.settings[static_cast<std::size_t>(trial) % pattern.settings.size()];
        setting.trial = trial;
        log.append(time_s += 0.5, "trial_started",
                   {{"trial", trial},
                    {"condition", setting.condition},
                    {"repeat", setting.repeat},
                    {"start", setting.start}});
        log.append(time_s += setting.duration_s, setting);
    }
    log.append(time_s + 1.0, "session_ended", {{"reason", "finished"}, {"settings", settings}});
    return log.folder();
}

std::uintmax_t bytes_below(const std::string& folder) {
    std::uintmax_t bytes = 0;
    for (const auto& entry : fs::recursive_directory_iterator(folder))
        bytes += entry.is_regular_file() ? entry.file_size() : 0;
    return bytes;
}

std::vector<std::string> words_of(const std::vector<std::string>& command,
                                  const std::vector<std::string>& folders, std::size_t count) {
    std::vector<std::string> words{kProgram};
    words.insert(words.end(), command.begin(), command.end());
    words.insert(words.end(), folders.begin(), folders.begin() + static_cast<std::ptrdiff_t>(count));
    return words;
}

void print(const std::string& what, const Cost& cost) {
    fmt::print("{:<44} {:>7.2f} s by the clock {:>7.2f} s of processor {:>7.0f} MB\n", what, cost.clock_s,
               cost.processor_s, cost.peak_mb);
}

void compare(const std::string& what, const std::vector<std::string>& command,
             const std::vector<std::string>& folders) {
    const std::size_t all = folders.size();
    const Cost half = cost_of(words_of(command, folders, all / 2));
    const Cost whole = cost_of(words_of(command, folders, all));
    print(fmt::format("{}, {} folders", what, all / 2), half);
    print(fmt::format("{}, {} folders", what, all), whole);
    fmt::print("    twice as many take {:.2f} times as long by the clock, {:.2f} times as much processor\n",
               whole.clock_s / half.clock_s, whole.processor_s / half.processor_s);
}

}  // namespace

int main(int argc, char** argv) {
    const int count = argc > 1 ? std::atoi(argv[1]) : 2000;
    const int settings = argc > 2 ? std::atoi(argv[2]) : 500;
    std::string place = std::string(argc > 3 ? argv[3] : "/dev/shm") + "/isoseam-bench-XXXXXX";
    if (count < 2 || settings < 1 || mkdtemp(place.data()) == nullptr) {
        fmt::print(stderr, "bench_results_speed [FOLDERS [SETTINGS [DIRECTORY]]]\n");
        return 2;
    }
    const SessionFolder pattern = rehearsed(place + "/pattern");
    std::vector<std::string> folders;
    for (int i = 1; i <= count; ++i)
        folders.push_back(write_session(place + "/sessions", pattern, i, settings));
    fmt::print("{} folders of {} settings, {:.0f} MB, on {} processor(s)\n", count, settings,
               1e-6 * static_cast<double>(bytes_below(place + "/sessions")), usable_processors());
    compare("results table", {"results", "table"}, folders);
    compare("results check", {"results", "check"}, folders);
    compare("analyse matches", {"analyse", "matches"}, folders);
    print("results table --json", cost_of(words_of({"results", "table", "--json"}, folders, folders.size())));
    for (const std::string form : {"csv", "bids", "psych-ds"}) {
        print("results export --to " + form,
              cost_of(words_of({"results", "export", "--to", form, "--out", place + "/" + form}, folders,
                               folders.size())));
        fs::remove_all(place + "/" + form);
    }
    const std::string table = place + "/settings.csv";
    print("results table into a file",
          cost_of(words_of({"results", "table"}, folders, folders.size()), table));
    print("sqlite3: import of that file, and grouping",
          cost_of({"sqlite3", ":memory:", ".mode csv", ".import " + table + " settings",
                   "select participant, condition, count(*), avg(contrast_l), avg(duration_s) from settings "
                   "group by participant, condition"}));
    fs::remove_all(place);
    return 0;
}
