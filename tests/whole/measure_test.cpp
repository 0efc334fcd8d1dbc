// isoseam display measure, from outside: rehearsed, killed and gone on with, in a real window with an
// instrument that looks at its pixels, and disturbed.

#include <sys/stat.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <chrono>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <random>
#include <thread>

#include "isoseam_program.h"
#include "support/file_bytes.h"
#include "support/screen_settings.h"
#include "support/temporary_folder.h"
#include "support/virtual_screen.h"

using namespace isoseam::test;
using Catch::Contains;
using Words = std::vector<std::string>;

namespace {

Words measure(Words words) {
    words.insert(words.begin(), {"display", "measure", "--yes"});
    return words;
}

Words simulated(const TemporaryFolder& folder) {
    return measure({"--plan", "quick", "--instrument", "simulated", "--simulated", "drifting", "--settled",
                    "5 %", "--out", folder.path()});
}

std::string only_folder(const TemporaryFolder& parent) {
    std::string found;
    for (const auto& entry : std::filesystem::directory_iterator(parent.path())) {
        if (entry.is_directory())
            found = entry.path().string();
    }
    return found;
}

int lines_in(const std::string& path) {
    if (!std::filesystem::exists(path))
        return 0;
    const std::string bytes = file_bytes(path);
    return static_cast<int>(std::count(bytes.begin(), bytes.end(), '\n'));
}

// Without its comments, which hold the time of day.
std::string table(const std::string& path) {
    const std::string bytes = file_bytes(path);
    std::string rows;
    for (std::size_t begin = 0; begin < bytes.size();) {
        const std::size_t end = std::min(bytes.find('\n', begin), bytes.size() - 1);
        if (bytes[begin] != '#')
            rows += bytes.substr(begin, end - begin + 1);
        begin = end + 1;
    }
    return rows;
}

std::string script(const TemporaryFolder& folder, const std::string& lines) {
    const std::string path = folder.file("instrument");
    write_file(path, "#!/bin/sh\n" + lines + "\n");
    ::chmod(path.c_str(), 0755);
    return path;
}

// Three bells, as an awk program would see them.
const std::string kSpectrum =
    "echo $ISOSEAM_DRIVE | awk '{ for (nm = 380; nm <= 780; nm += 10) printf \"%d %.6g\\n\", nm, "
    "1e-6 + 0.002 * ($1^2 * exp(-(nm-610)^2/800) + $2^2 * exp(-(nm-540)^2/800) + $3^2 * "
    "exp(-(nm-450)^2/800)) }'";

ProgramOptions on(const VirtualScreen& screen) {
    ProgramOptions options;
    options.environment = {{"DISPLAY", screen.display()}, {"SDL_VIDEODRIVER", "x11"}};
    return options;
}

Words in_window(const TemporaryFolder& folder, const std::string& instrument_words = "",
                const std::string& bits = "8") {
    return measure({"--plan", "quick", "--instrument", "command", "--command",
                    ISOSEAM_BINARY_DIR "/tests/pixel_instrument" + instrument_words, "--bits", bits,
                    "--warm-up", "no", "--pause", "20 ms", "--out", folder.path(), "--json"});
}

}  // namespace

TEST_CASE("measure: a rehearsal prints its plan and leaves tables to fit and to verify") {
    const TemporaryFolder folder;
    Words words = simulated(folder);
    words.emplace_back("--json");
    const ProgramResult result = run_isoseam(words);
    INFO(result.err);
    REQUIRE(result.status == 0);
    CHECK_THAT(result.err, Contains("Plan 'quick', 8 bits, seed 1") &&
                               Contains("warm-up: white every 10 s") &&
                               Contains("NOT FOR DATA: simulated: no light was measured"));
    const nlohmann::json json = nlohmann::json::parse(result.out);
    CHECK(json["finished"] == true);
    CHECK(json["to_come"] == 0);
    CHECK_THAT(table(json["readings"]),
               Catch::StartsWith("r,g,b,x,y,width,height,seconds,step,nm380,nm384,"));
    CHECK(lines_in(json["verification"]) > 8);

    // That no light was measured goes with the readings, to the calibration and to its report.
    const std::string file = folder.file("screen.yaml");
    const ProgramResult fitted =
        run_isoseam({"display", "fit", json["readings"], "--out", file, "--days-valid", "180", "--json"});
    INFO(fitted.err);
    REQUIRE(fitted.status == 0);
    const ProgramResult shown = run_isoseam({"display", "show", file});
    CHECK_THAT(shown.out, Contains("invented") && Contains("simulated screen 'drifting', seed 1"));
    const std::string page = folder.file("page.html");
    REQUIRE(run_isoseam({"display", "report", json["readings"], "--out", page}).status == 0);
    CHECK_THAT(file_bytes(page), Contains("Invented: these are not measurements of a real screen"));
}

TEST_CASE("measure: killed at any reading, again and again, it goes on and loses none") {
    const TemporaryFolder undisturbed;
    REQUIRE(run_isoseam(simulated(undisturbed)).status == 0);
    const std::string whole = only_folder(undisturbed);
    std::mt19937 random(3);
    int kills = 0;
    for (int run = 0; run < 4; ++run) {
        const TemporaryFolder folder;
        Words words = simulated(folder);
        while (true) {
            const std::string log = only_folder(folder) + "/measurement.jsonl";
            const int kill_at =
                (only_folder(folder).empty() ? 0 : lines_in(log)) + 1 + static_cast<int>(random() % 25U);
            RunningProgram program(isoseam_words(words));
            const auto started = std::chrono::steady_clock::now();
            while (lines_in(only_folder(folder) + "/measurement.jsonl") < kill_at &&
                   std::chrono::steady_clock::now() - started < std::chrono::seconds(3))
                std::this_thread::yield();
            const ProgramResult result = program.kill_and_wait();
            if (result.status == 0)
                break;
            REQUIRE(result.status == 128 + SIGKILL);
            ++kills;
            if (!only_folder(folder).empty() && lines_in(only_folder(folder) + "/measurement.jsonl") > 0)
                words = {"display", "measure", "--yes", "--resume", only_folder(folder)};
        }
        INFO(kills << " kills in " << run + 1 << " measurements");
        CHECK(table(only_folder(folder) + "/readings.csv") == table(whole + "/readings.csv"));
        CHECK(table(only_folder(folder) + "/verification.csv") == table(whole + "/verification.csv"));
    }
    // Few enough that a busy machine, which sees the log late, makes them too.
    CHECK(kills >= 4);
}

TEST_CASE(
    "measure: an instrument that fails is named, what was read stays, and it goes on when it is mended") {
    const TemporaryFolder folder;
    const std::string program = script(folder, "[ $ISOSEAM_READING -lt 9 ] || [ -e " + folder.file("mended") +
                                                   " ] || { echo lamp is cold >&2; exit 5; }\n" + kSpectrum);
    const ProgramResult failed =
        run_isoseam(measure({"--plan", "quick", "--instrument", "command", "--command", program, "--warm-up",
                             "no", "--rehearse", "--out", folder.file("out"), "--json"}));
    INFO(failed.err);
    CHECK(failed.status == 3);
    const nlohmann::json json = nlohmann::json::parse(failed.out);
    CHECK(json["kept"] == 9);
    CHECK(json["trouble"]["kind"] == "failed");
    CHECK_THAT(failed.err,
               Contains("ended with status 5 and said: lamp is cold; run the command by hand") &&
                   Contains("go on with: isoseam display measure --resume " + folder.file("out")));
    write_file(folder.file("mended"), "");
    const std::string measurement = json["folder"];
    const ProgramResult mended =
        run_isoseam(measure({"--resume", measurement, "--command", program, "--rehearse", "--json"}));
    INFO(mended.err);
    CHECK(mended.status == 0);
    CHECK_THAT(mended.err, Contains("going on: 9 reading(s) kept"));
    CHECK_THAT(file_bytes(measurement + "/readings.csv"), Contains("rehearsed: nothing was shown"));
}

TEST_CASE("measure: what was changed since is noticed when it goes on") {
    const TemporaryFolder folder;
    const std::string program = script(folder, "[ $ISOSEAM_READING -lt 3 ] || exit 5\n" + kSpectrum);
    REQUIRE(run_isoseam(measure({"--plan", "quick", "--instrument", "command", "--command", program,
                                 "--warm-up", "no", "--rehearse", "--out", folder.file("out")}))
                .status == 3);
    std::string measurement;
    for (const auto& entry : std::filesystem::directory_iterator(folder.file("out")))
        measurement = entry.path().string();
    const ProgramResult other_plan =
        run_isoseam(measure({"--resume", measurement, "--command", program, "--rehearse", "--seed", "7"}));
    CHECK(other_plan.status == 2);
    CHECK_THAT(other_plan.err,
               Contains("changed since it was begun: plan: was 'quick' with seed 1, is now 'quick' with "
                        "seed 7; go on with the old plan"));
    const Words other = measure({"--resume", measurement, "--rehearse", "--instrument", "simulated"});
    const ProgramResult other_instrument = run_isoseam(other);
    CHECK(other_instrument.status == 2);
    CHECK_THAT(other_instrument.err,
               Contains("instrument: was command '" + program + "', is now simulated screen"));
    Words despite = other;
    despite.insert(despite.end(), {"--despite", "changed"});
    const ProgramResult gone_on = run_isoseam(despite);
    CHECK(gone_on.status == 3);  // it gives other wavelengths
    CHECK_THAT(gone_on.err,
               Contains("gone on with: changed: instrument: was command") &&
                   Contains("changed: 101 wavelengths from 380 to 780 nm, but the readings before have 41"));
}

TEST_CASE(
    "measure: readings made elsewhere are matched by their drive, and missing ones are named all at once") {
    const TemporaryFolder folder;
    REQUIRE(run_isoseam(simulated(folder)).status == 0);
    const std::string made = only_folder(folder);
    std::string rows = table(made + "/readings.csv");
    const std::string more = table(made + "/verification.csv");
    rows = "# unit: W/(sr m2 nm)\n" + rows + more.substr(more.find('\n') + 1);
    write_file(folder.file("elsewhere.csv"), rows);
    const Words words = measure({"--plan", "quick", "--instrument", "file", "--readings",
                                 folder.file("elsewhere.csv"), "--out", folder.file("again"), "--json"});
    const ProgramResult complete = run_isoseam(words);
    INFO(complete.err);
    CHECK(complete.status == 0);
    Words other_seed = words;
    other_seed.insert(other_seed.end(), {"--seed", "2"});
    const ProgramResult missing = run_isoseam(other_seed);
    CHECK(missing.status == 2);
    CHECK_THAT(missing.err, Contains("verification.1: no reading of drive ") &&
                                Contains("verification.8: no reading") && Contains("measure it too"));
}

TEST_CASE("measure: a screen that never settles is an answer of no, unless gone on with") {
    const TemporaryFolder folder;
    Words words = measure({"--plan", "quick", "--instrument", "simulated", "--simulated", "drifting",
                           "--settled", "0.0001 %", "--longest-warm-up", "5 min", "--out", folder.path()});
    const ProgramResult drifting = run_isoseam(words);
    CHECK(drifting.status == 1);
    CHECK_THAT(drifting.err, Contains("after 5 min white still drifts by -"));
    words.insert(words.end(), {"--despite", "drifting"});
    const ProgramResult despite = run_isoseam(words);
    CHECK(despite.status == 0);
    CHECK_THAT(despite.err, Contains("note: white still drifted when the measurement went on"));
}

TEST_CASE("measure: wrong words are refused before anything is shown") {
    const auto refused = [](const Words& words, const std::string& text) {
        const ProgramResult result = run_isoseam(measure(words));
        INFO(result.err);
        CHECK(result.status == 2);
        CHECK_THAT(result.err, Contains(text));
    };
    refused({}, "--instrument: is missing; write --instrument command, serial, typed, file or simulated");
    refused({"--instrument", "camera"},
            "--instrument: there is no instrument 'camera'; write one of: command");
    refused({"--instrument", "simulated", "--plan", "slow"}, "--plan: there is no plan 'slow'");
    refused({"--instrument", "simulated", "--patch", "0.5,0.5"},
            "--patch: 2 numbers; write centre, width and height");
    refused({"--instrument", "simulated", "--bits", "9"}, "--bits: 9 bits; write 8 or 10");
    refused({"--instrument", "simulated", "--duration", "60"}, "--duration");
    refused({"--instrument", "simulated", "--despite", "rain"}, "--despite: unknown word 'rain'");
    refused({"--instrument", "serial", "--port", "/dev/ttyS0", "--dialect", "/nowhere.yaml"},
            "/nowhere.yaml: cannot be read");
    refused({"--instrument", "typed"}, "--typical: is missing");
    refused({"--instrument", "typed", "--command", "x"},
            "--command: is for --instrument command, and this is typed");
    const ProgramResult nobody = run_isoseam({"display", "measure", "--instrument", "simulated"});
    CHECK(nobody.status == 2);
    CHECK_THAT(nobody.err, Contains("--yes: nobody is there to agree to the plan; say --yes"));
}

TEST_CASE("measure: typed readings come from the terminal and are marked as not for data") {
    const TemporaryFolder folder;
    ProgramOptions options;
    options.input = "100 0.3127 0.3290\n0.1 0.3 0.31\nnonsense\nstop\n";
    const ProgramResult result =
        run_isoseam(measure({"--plan", "quick", "--instrument", "typed", "--typical",
                             ISOSEAM_SOURCE_DIR "/calibration/demo/demo_lcd.yaml", "--warm-up", "no",
                             "--rehearse", "--out", folder.path()}),
                    options);
    INFO(result.err);
    CHECK(result.status == 130);
    CHECK_THAT(result.err, Contains("NOT FOR DATA: typed from a colorimeter") &&
                               Contains("drift.1 (drive 1, 1, 1): luminance in cd/m2, x, y: ") &&
                               Contains("'nonsense' is not a number") && Contains("2 reading(s) kept"));
}

TEST_CASE("measure: the pixels that an instrument sees are the planned codes", "[screen]") {
    const int depth = GENERATE(24, 30);
    const TemporaryFolder folder;
    const VirtualScreen screen(640, 480, depth);
    const ProgramResult result = run_isoseam(in_window(folder, "", depth == 30 ? "10" : "8"), on(screen));
    INFO(result.err);
    REQUIRE(result.status == 0);
    const nlohmann::json json = nlohmann::json::parse(result.out);
    CHECK(json["kept"] > 40);
    const ProgramResult other_bits = run_isoseam(in_window(folder, "", depth == 30 ? "8" : "10"), on(screen));
    CHECK(other_bits.status == 3);
    CHECK_THAT(other_bits.err, Contains("has a frame buffer of") && Contains("measure with --bits"));
}

TEST_CASE("measure: Escape in the window leaves with all that was read, and it goes on from there",
          "[screen]") {
    const TemporaryFolder folder;
    const VirtualScreen screen(640, 480, 24);
    RunningProgram program(isoseam_words(in_window(folder)), on(screen));
    const auto started = std::chrono::steady_clock::now();
    while ((only_folder(folder).empty() || lines_in(only_folder(folder) + "/measurement.jsonl") < 6) &&
           std::chrono::steady_clock::now() - started < std::chrono::seconds(100))
        std::this_thread::sleep_for(std::chrono::milliseconds(20));
    REQUIRE(run_program({"xdotool", "key", "Escape"}, on(screen)).status == 0);
    const ProgramResult left = program.wait();
    INFO(left.err);
    CHECK(left.status == 130);
    const nlohmann::json json = nlohmann::json::parse(left.out);
    CHECK(json["kept"] >= 5);
    CHECK(json["to_come"] > 0);
    CHECK_FALSE(std::filesystem::exists(only_folder(folder) + "/readings.csv"));
    const ProgramResult resumed = run_isoseam(
        measure({"--resume", only_folder(folder), "--command", ISOSEAM_BINARY_DIR "/tests/pixel_instrument"}),
        on(screen));
    INFO(resumed.err);
    CHECK(resumed.status == 0);
    CHECK_THAT(resumed.err, Contains(", all of the plan"));
}

TEST_CASE("measure: a colour table in the way is refused, unless gone on with", "[screen]") {
    const TemporaryFolder folder;
    const VirtualScreen screen(640, 480, 24);
    ScreenSettings settings(screen.display());
    settings.set_colour_table(1.0);
    Words words = in_window(folder);
    words.insert(words.end(), {"--repeats", "1"});
    CHECK(run_isoseam(words, on(screen)).status == 0);
    settings.set_colour_table(1.2);
    const ProgramResult refused = run_isoseam(words, on(screen));
    CHECK(refused.status == 3);
    CHECK_THAT(refused.err,
               Contains("the graphics card's table changes drives by up to 6.7 % of full on their way to "
                        "the panel; switch night light, colour management and gamma settings off"));
    words.insert(words.end(), {"--despite", "colour-table"});
    const ProgramResult despite = run_isoseam(words, on(screen));
    CHECK(despite.status == 0);
    CHECK_THAT(despite.err, Contains("note: gone on with: the graphics card's table changes drives"));
}

TEST_CASE("measure: a window that is moved spoils the reading, which is taken again", "[screen]") {
    const TemporaryFolder folder;
    const VirtualScreen screen(640, 480, 24);
    Words words = in_window(folder, " --move-window 4 150 110");
    words.insert(words.end(), {"--window", "400x300"});
    const ProgramResult result = run_isoseam(words, on(screen));
    INFO(result.err);
    CHECK(result.status == 0);
    CHECK_THAT(result.err, Contains("disturbed: the window was moved from") &&
                               Contains("to 150, 110; leave it where it is"));
    const nlohmann::json json = nlohmann::json::parse(result.out);
    CHECK_THAT(file_bytes(json["folder"].get<std::string>() + "/measurement.jsonl"),
               Contains("disturbed: the window was moved from"));
}

TEST_CASE("measure: a screen saver spoils the reading, which is taken again when it is off", "[screen]") {
    const TemporaryFolder folder;
    const TemporaryFolder marks;
    const VirtualScreen screen(640, 480, 24);
    RunningProgram program(isoseam_words(in_window(folder, " --screen-saver 4 " + marks.file("done"))),
                           on(screen));
    const std::string noticed = "disturbed: the screen saver is on; wake the screen";
    const auto started = std::chrono::steady_clock::now();
    while (std::chrono::steady_clock::now() - started < std::chrono::seconds(100)) {
        std::this_thread::sleep_for(std::chrono::milliseconds(50));
        if (only_folder(folder).empty())
            continue;
        if (file_bytes(only_folder(folder) + "/measurement.jsonl").find(noticed) != std::string::npos) {
            ScreenSettings(screen.display()).set_screen_saver(false);
            break;
        }
    }
    const ProgramResult result = program.wait();
    INFO(result.err);
    CHECK_THAT(result.err, Contains(noticed));
    CHECK(result.status == 0);
}
