// Sessions of the built program: in a real window on a virtual screen with real key events, killed, left, and
// steered by words.

#include <fmt/format.h>
#include <png.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <chrono>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <thread>

#include "isoseam_program.h"
#include "results_schema/session_folder.h"
#include "support/screen_settings.h"
#include "support/temporary_folder.h"
#include "support/virtual_screen.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

std::vector<std::string> session_folders(const std::string& out) {
    std::vector<std::string> all;
    for (const auto& entry : std::filesystem::directory_iterator(out))
        if (entry.is_directory())
            all.push_back(entry.path().string());
    return all;
}

std::string last_line(std::string text) {
    while (!text.empty() && text.back() == '\n')
        text.pop_back();
    return text.substr(text.rfind('\n') == std::string::npos ? 0 : text.rfind('\n') + 1);
}

// A session on a virtual screen of this depth with the simulated participant at its keys. When the
// participant gives up, the session is killed rather than waited for.
SessionFolder session_with_real_keys(int depth, const TemporaryFolder& out) {
    const VirtualScreen screen(1280, 800, depth);
    ProgramOptions options;
    options.environment = {{"DISPLAY", screen.display()}, {"SDL_VIDEODRIVER", "x11"}};
    RunningProgram participant({ISOSEAM_BINARY_DIR "/tests/simulated_participant", "demo", "--participant",
                                "P01", "--out", out.path(), "--seed", "7"},
                               options);
    RunningProgram session(isoseam_words({"session", "run", "demo", "--participant", "P01", "--out",
                                          out.path(), "--seed", "3", "--picture", out.file("field.png")}),
                           options);
    const ProgramResult hand = participant.wait();
    const ProgramResult result = hand.status == 0 ? session.wait() : session.kill_and_wait();
    INFO(result.err << hand.err);
    REQUIRE(hand.status == 0);
    REQUIRE(result.status == 0);
    return read_session_folder(last_line(result.out));
}

// Full distance between the halves in cone contrast.
double distance(const HalfRecord& adjusted, const HalfRecord& reference) {
    double sum = 0.0;
    for (std::size_t i = 0; i < 3; ++i) {
        const double contrast = adjusted.lms[i] / reference.lms[i] - 1.0;
        sum += contrast * contrast;
    }
    return std::sqrt(sum);
}

// Codes of one pixel of an 8-bit PNG.
std::vector<int> png_pixel(const std::string& path, unsigned column, unsigned row) {
    png_image image{};
    image.version = PNG_IMAGE_VERSION;
    REQUIRE(png_image_begin_read_from_file(&image, path.c_str()) != 0);
    image.format = PNG_FORMAT_RGB;
    std::vector<png_byte> bytes(PNG_IMAGE_SIZE(image));
    REQUIRE(png_image_finish_read(&image, nullptr, bytes.data(), 0, nullptr) != 0);
    const std::size_t at = 3 * (std::size_t{row} * image.width + column);
    return {bytes[at], bytes[at + 1], bytes[at + 2]};
}

}  // namespace

TEST_CASE("real windows, real keys, real pixels: a simulated participant makes the demo's matches",
          "[screen]") {
    const int depth = GENERATE(24, 30);
    const TemporaryFolder out;
    const SessionFolder folder = session_with_real_keys(depth, out);
    CHECK(folder.state == SessionState::complete);
    REQUIRE(folder.settings.size() == 4);
    CHECK(folder.header.screens.front().bits == (depth == 30 ? 10 : 8));
    CHECK(folder.header.screens.front().width_px == 1280);
    REQUIRE(folder.header.screens.front().clock);
    CHECK(folder.header.screens.front().clock->stamp == "paced");  // a virtual screen waits for nothing
    CHECK_FALSE(folder.header.screens.front().clock->latency_ms);
    double from = 0.0, to = 0.0;
    for (const SettingRecord& setting : folder.settings) {
        CHECK(setting.steps > 0);
        from += distance(setting.start_adjusted, setting.reference);
        to += distance(setting.adjusted, setting.reference);
    }
    CHECK(to < from / 2.0);  // an eye of the population and its noise stay a little off the nominal match
    if (depth == 24) {
        // The first field as drawn: on both sides of the seam the codes that the record holds, or, by dither,
        // the next ones.
        const SettingRecord& first = folder.settings.front();
        CHECK(folder.header.sources.front().dither == "ordered");
        for (std::size_t channel = 0; channel < 3; ++channel) {
            CHECK(std::abs(png_pixel(out.file("field.png"), 620, 400)[channel] -
                           first.reference.code[channel]) <= 1);
            CHECK(std::abs(png_pixel(out.file("field.png"), 660, 400)[channel] -
                           first.start_adjusted.code[channel]) <= 1);
        }
    }
}

namespace {

// The first event of this kind in the log of the only session; fails after a while.
Event awaited_event(const std::string& out, const std::string& kind) {
    for (int tries = 0; tries < 400; ++tries) {
        std::this_thread::sleep_for(std::chrono::milliseconds(50));
        const std::vector<std::string> folders = session_folders(out);
        if (folders.empty())
            continue;
        for (const Event& event : read_session_folder(folders.front()).events)
            if (event.kind == kind)
                return event;
    }
    FAIL("no event " << kind);
    return {};
}

}  // namespace

TEST_CASE("a session whose window is hidden pauses by itself, says why, and goes on when it is shown again",
          "[screen]") {
    const TemporaryFolder out;
    const VirtualScreen screen(1280, 800, 24);
    ScreenSettings others(screen.display());
    ProgramOptions options;
    options.environment = {{"DISPLAY", screen.display()}, {"SDL_VIDEODRIVER", "x11"}};
    RunningProgram session(
        isoseam_words({"session", "run", "demo", "--participant", "P01", "--out", out.path()}), options);
    awaited_event(out.path(), "page_shown");
    REQUIRE(others.show_window("Isoseam", false));
    const std::string reason = awaited_event(out.path(), "paused").data.at("reason");
    CHECK_THAT(reason, Catch::Contains("hidden") || Catch::Contains("keyboard"));
    REQUIRE(others.show_window("Isoseam", true));
    REQUIRE(others.focus_window("Isoseam"));
    const std::string press = "DISPLAY=" + screen.display() + " xdotool key ";
    const auto has_resumed = [&] {
        const std::vector<Event> events = read_session_folder(session_folders(out.path()).front()).events;
        return std::any_of(events.begin(), events.end(),
                           [](const Event& event) { return event.kind == "resumed"; });
    };
    for (int tries = 0; tries < 20 && !has_resumed(); ++tries) {
        std::this_thread::sleep_for(std::chrono::milliseconds(300));
        REQUIRE(std::system((press + "space").c_str()) == 0);
    }
    awaited_event(out.path(), "resumed");
    kill(session.pid(), SIGINT);
    const ProgramResult result = session.wait();
    CHECK_THAT(result.err, Catch::Contains("the session is paused: " + reason));
}

TEST_CASE("words steer a session without a screen, escape twice leaves with everything saved") {
    const TemporaryFolder out;
    ProgramOptions options;
    options.input = "accept right coarse up accept left escape escape\n";
    const ProgramResult result = run_isoseam(
        {"session", "run", "demo", "--participant", "P01", "--headless", "--out", out.path()}, options);
    INFO(result.err);
    CHECK(result.status == 0);
    const SessionFolder folder = read_session_folder(last_line(result.out));
    CHECK(folder.state == SessionState::left_early);
    REQUIRE(folder.settings.size() == 1);
    CHECK(folder.settings.front().steps == 2);
    const ProgramResult check = run_isoseam({"results", "check", folder.folder});
    CHECK(check.status == 0);
    CHECK_THAT(check.out, Catch::Contains("left early, 1 setting(s) of 4"));
}

// With this seed the practice of both directions succeeds for somebody who always says "left".
TEST_CASE("words answer questions and the trials of tasks, and what means nothing is counted") {
    const TemporaryFolder out;
    ProgramOptions options;
    // Consent, exclusion, questions; then for each trial whatever may be asked: what is not, is ignored.
    options.input = "accept accept choose-1 accept type-7 accept ";
    for (int trial = 0; trial < 150; ++trial)
        options.input += "left accept yes ";
    options.input += "choose-2 accept accept\n";
    const ProgramResult result =
        run_isoseam({"session", "run", ISOSEAM_SOURCE_DIR "/tests/runner/mixed.yaml", "--participant", "P02",
                     "--language", "en", "--seed", "1", "--headless", "--out", out.path()},
                    options);
    INFO(result.err);
    REQUIRE(result.status == 0);
    const SessionFolder folder = read_session_folder(last_line(result.out));
    CHECK(folder.state == SessionState::complete);
    CHECK(folder.settings.size() == 6);
    CHECK(folder.answers.size() >= 2 * 12 + 8 + 2);
    CHECK(folder.events.back().data.at("ignored_presses").get<int>() > 50);
    CHECK(folder.events[folder.events.size() - 2].data ==
          nlohmann::json{{"name", "effort"}, {"when", "after"}, {"value", "hard"}});
    CHECK_THAT(run_isoseam({"results", "check", folder.folder}).out,
               Catch::Contains(fmt::format("complete, 6 setting(s) and {} answer(s) of about 46",
                                           folder.answers.size())));
    const std::string table = run_isoseam({"results", "table", "--of", "answers", folder.folder}).out;
    CHECK(static_cast<std::size_t>(std::count(table.begin(), table.end(), '\n')) ==
          folder.answers.size() + 1);
}

TEST_CASE("a session wants what its protocol leaves open: an age, a number in the code, a language it has") {
    const TemporaryFolder out;
    const auto told = [&](std::vector<std::string> more) {
        std::vector<std::string> words{"session",    "run",   "metamer_seven_colours",
                                       "--headless", "--out", out.path()};
        words.insert(words.end(), more.begin(), more.end());
        const ProgramResult result = run_isoseam(words);
        CHECK(result.status == 2);
        return result.err;
    };
    CHECK_THAT(
        told({"--participant", "P01"}),
        Catch::Contains("the protocol takes the observer's age from the participant; give it in years: "
                        "--age 34"));
    CHECK_THAT(told({"--participant", "P01", "--age", "81"}), Catch::Contains("20 to 80 years old"));
    CHECK_THAT(told({"--participant", "anna", "--age", "34"}),
               Catch::Contains("'anna' does not end in a number"));
    CHECK_THAT(told({"--participant", "P01", "--age", "34", "--language", "fr"}),
               Catch::Contains("has no texts in 'fr'") && Catch::Contains("its languages are: en, de"));
    CHECK_THAT(told({"--participant", "P01", "--age", "34", "--sounds", "--text-size", "large"}),
               Catch::Contains("--sounds: means nothing without a screen") &&
                   Catch::Contains("--text-size: means nothing without a screen"));
    CHECK(session_folders(out.path()).empty());
}

TEST_CASE("a session that was left is shown, gone on with and completed, by the record's own protocol") {
    const TemporaryFolder out;
    ProgramOptions options;
    options.input = "accept right accept escape escape\n";
    const ProgramResult begun = run_isoseam(
        {"session", "run", "demo", "--participant", "P01", "--headless", "--out", out.path()}, options);
    REQUIRE(begun.status == 0);
    const std::string folder = last_line(begun.out);
    const ProgramResult shown = run_isoseam({"session", "show", folder});
    CHECK(shown.status == 0);
    CHECK_THAT(shown.out, Catch::Contains("left early") && Catch::Contains("trials       1 of 4") &&
                              Catch::Contains("isoseam session resume " + folder));
    const ProgramResult other = run_isoseam({"session", "resume", folder, "--headless", "--calibration",
                                             ISOSEAM_SOURCE_DIR "/tests/published/O2_display_total.yaml"});
    CHECK(other.status == 2);
    CHECK_THAT(other.err, Catch::Contains("--calibration: is not what the session was begun with"));
    options.input = "accept accept left accept accept accept\n";
    const ProgramResult resumed = run_isoseam({"session", "resume", folder, "--headless", "--calibration",
                                               ISOSEAM_SOURCE_DIR "/calibration/demo/demo_lcd.yaml"},
                                              options);
    INFO(resumed.err);
    CHECK(resumed.status == 0);
    CHECK_THAT(resumed.err, Catch::Contains("1 of 4 trials are there"));
    CHECK(last_line(resumed.out) == folder);
    const SessionFolder finished = read_session_folder(folder);
    CHECK(finished.state == SessionState::complete);
    CHECK(finished.settings.size() == 4);
    CHECK(run_isoseam({"session", "resume", folder, "--headless"}).status == 2);
    CHECK(run_isoseam({"results", "check", folder}).status == 0);
}

TEST_CASE("Ctrl-C ends with 130 and leaves a session whose state is named") {
    const TemporaryFolder out;
    ProgramOptions options;
    options.input = "accept\n";  // the page; then the demo adapts for 5 s
    RunningProgram program(
        isoseam_words({"session", "run", "demo", "--participant", "P01", "--headless", "--out", out.path()}),
        options);
    while (session_folders(out.path()).empty())
        std::this_thread::sleep_for(std::chrono::milliseconds(10));
    std::this_thread::sleep_for(std::chrono::milliseconds(200));
    kill(program.pid(), SIGINT);
    CHECK(program.wait().status == 130);
    const ProgramResult check = run_isoseam({"results", "check", session_folders(out.path()).front()});
    CHECK(check.status == 0);
    CHECK_THAT(check.out, Catch::Contains("interrupted, 0 setting(s) of 4"));
}

TEST_CASE("a rehearsal writes the very files of a session, and the same settings for a seed") {
    const auto settings = [] {
        const TemporaryFolder out;
        const ProgramResult result = run_isoseam({"session", "rehearse", "metamer_two_sources", "--observers",
                                                  "2", "--seed", "9", "--out", out.path(), "--json"});
        REQUIRE(result.status == 0);
        nlohmann::json all = nlohmann::json::array();
        const nlohmann::json printed = nlohmann::json::parse(result.out);
        for (const nlohmann::json& path : printed["folders"]) {
            const SessionFolder folder = read_session_folder(path);
            CHECK(folder.state == SessionState::complete);
            CHECK(folder.header.kind == "rehearsal");
            for (const SettingRecord& setting : folder.settings)
                all.push_back(to_json(setting));
        }
        return all;
    };
    const nlohmann::json once = settings();
    CHECK_FALSE(once.empty());
    CHECK(once == settings());
}

TEST_CASE("a hundred simulated observers come to an end, as do adaptations that a clock cannot hit exactly") {
    const TemporaryFolder out;
    const std::vector<std::string> words{
        "session", "rehearse", "metamer_two_sources", "--observers", "100", "--out", out.path(), "--json"};
    const ProgramResult result = run_isoseam(words);
    REQUIRE(result.status == 0);
    const nlohmann::json printed = nlohmann::json::parse(result.out);
    CHECK(printed["folders"].size() == 100);
    CHECK(session_folders(out.path()).size() == 100);
    CHECK(printed["summary"]["sessions"] == 100);
    CHECK(printed["summary"]["conditions"].front()["bias_contrast"].size() == 3);
    // The names are the same every time: nothing is overwritten, and nothing gets another name in silence.
    const ProgramResult again = run_isoseam(words);
    CHECK(again.status == 2);
    CHECK_THAT(again.out, Catch::Contains("holds a rehearsal already ('simulated-"));
}

TEST_CASE("Ctrl-C ends a rehearsal with whole sessions and status 130") {
    const TemporaryFolder out;
    RunningProgram program(isoseam_words({"session", "rehearse", "precision_one_screen", "--observers",
                                          "100000", "--threads", "2", "--out", out.path()}));
    while (session_folders(out.path()).size() < 5)
        std::this_thread::sleep_for(std::chrono::milliseconds(10));
    kill(program.pid(), SIGINT);
    const ProgramResult result = program.wait();
    CHECK(result.status == 130);
    CHECK_THAT(result.err, Catch::Contains("sessions, which are whole"));
    const std::vector<std::string> folders = session_folders(out.path());
    CHECK(folders.size() >= 5);
    for (const std::string& folder : folders)
        CHECK(read_session_folder(folder).state == SessionState::complete);
}

TEST_CASE("killed at 50 random moments, a rehearsal keeps every accepted setting, and its state is named") {
    int interrupted = 0;
    std::uint32_t random = 12345;
    for (int kill = 0; kill < 50; ++kill) {
        const TemporaryFolder out;
        RunningProgram program(isoseam_words({"session", "rehearse", "precision_one_screen", "--observers",
                                              "100000", "--out", out.path(), "--verbose"}));
        random = random * 1664525U + 1013904223U;
        std::this_thread::sleep_for(std::chrono::milliseconds(40 + random % 700));
        const ProgramResult result = program.kill_and_wait();
        // What the program said it had saved, by session.
        std::map<std::string, std::size_t> said;
        std::istringstream lines(result.err);
        for (std::string line; std::getline(lines, line);) {
            const std::size_t at = line.find(" trial ");
            if (line.starts_with("isoseam: simulated-") && at != std::string::npos &&
                line.ends_with(" saved"))
                said[line.substr(9, at - 9)] = static_cast<std::size_t>(std::stoul(line.substr(at + 7)));
        }
        for (const std::string& path : session_folders(out.path())) {
            const SessionFolder folder = read_session_folder(path);
            if (folder.state == SessionState::complete)
                continue;  // ended before the kill
            const ProgramResult check = run_isoseam({"results", "check", path});
            const std::string name = std::filesystem::path(path).filename().string();
            INFO(check.out << check.err);
            if (!folder.header_ok) {  // killed while session.json was being written: no setting can have been
                                      // accepted
                CHECK(said.count(name) == 0);
                CHECK(check.status == 1);
                CHECK_THAT(check.out, Catch::Contains("damaged, 0 setting(s)"));
                continue;
            }
            CHECK(check.status == 0);
            CHECK(folder.state == SessionState::interrupted);
            CHECK_THAT(check.out, Catch::Contains("interrupted"));
            CHECK(folder.settings.size() >= said[name]);
            ++interrupted;
        }
    }
    CHECK(interrupted > 20);  // the kills did hit sessions at work
}
