#include "runner/commands/display/measure_options.h"
#include "runner/commands/command_words.h"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <catch2/catch.hpp>

using namespace isoseam;

namespace {

using Kept = std::vector<std::pair<std::string, std::string>>;

// The words that run or open something, as "name: kept (given)".
std::vector<std::string> foreign(std::vector<std::string> given, const Kept& kept) {
    CLI::App app;
    Command command(app);
    MeasureWords words;
    words.add_options_to(&command);
    std::reverse(given.begin(), given.end());  // as CLI11 takes them
    app.parse(given);
    std::vector<std::string> told;
    for (const MeasureWords::ForeignWord& word : words.set_kept(kept))
        told.push_back(word.name + ": " + word.kept + (word.given ? " (" + *word.given + ")" : ""));
    return told;
}

const Kept kSerial{{"dialect", "/d.yaml"}, {"instrument", "serial"}, {"port", "/dev/ttyUSB0"}, {"seed", "3"}};

}  // namespace

TEST_CASE("the kept words that run or open something are named, with what was given in their place") {
    CHECK(foreign({}, kSerial) == std::vector<std::string>{"dialect: /d.yaml", "port: /dev/ttyUSB0"});
    CHECK(foreign({"--port", "/dev/ttyUSB0", "--dialect", "/e.yaml"}, kSerial) ==
          std::vector<std::string>{"dialect: /d.yaml (/e.yaml)", "port: /dev/ttyUSB0 (/dev/ttyUSB0)"});
    CHECK(foreign({}, {{"command", "read --once"}, {"instrument", "command"}}) ==
          std::vector<std::string>{"command: read --once"});
    // Whoever keeps back the instrument's kind hides nothing.
    CHECK(foreign({"--instrument", "command"}, {{"command", "x"}}) == std::vector<std::string>{"command: x"});
    CHECK(foreign({}, {{"instrument", "simulated"}, {"seed", "3"}}).empty());
}

TEST_CASE("the words of an instrument that is no longer used run and open nothing") {
    CHECK(foreign({"--instrument", "simulated"}, kSerial).empty());
}
