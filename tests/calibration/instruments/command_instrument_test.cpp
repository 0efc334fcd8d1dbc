#include "calibration/instruments/command_instrument.h"

#include <sys/stat.h>

#include <catch2/catch.hpp>

#include "base/errors.h"
#include "calibration/instruments/child_process.h"
#include "support/error_text.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

using namespace isoseam;
using Catch::Contains;
using Words = std::vector<std::string>;

namespace {

ShownPatch shown_patch() {
    ShownPatch shown;
    shown.drive.fractions = Eigen::Vector3d(0.5, 0.0, 1.0);
    shown.step = "ramp.r.128";
    shown.reading = 7;
    return shown;
}

// A program of these lines of shell.
std::string script(const test::TemporaryFolder& folder, const std::string& lines) {
    const std::string path = folder.file("instrument");
    test::write_file(path, "#!/bin/sh\n" + lines + "\n");
    ::chmod(path.c_str(), 0755);
    return path;
}

ReadingOutcome outcome_of(const std::string& lines, double timeout_s = 60.0) {
    const test::TemporaryFolder folder;
    CommandInstrument instrument({script(folder, lines), ReadingUnit::counts, timeout_s, ""});
    return instrument.read(shown_patch());
}

ReadingFailure failure_of(const std::string& lines, double timeout_s = 60.0) {
    return std::get<ReadingFailure>(outcome_of(lines, timeout_s));
}

}  // namespace

TEST_CASE("a command is cut into words without a shell") {
    const auto words = [](const char* text) { return split_command(text, "--command"); };
    CHECK(words("  read  --port /dev/x ") == Words{"read", "--port", "/dev/x"});
    CHECK(words(R"("my program" 'a b' c\ d "" "q\"q" 'b\s')") ==
          Words{"my program", "a b", "c d", "", "q\"q", "b\\s"});
    CHECK(words("echo $HOME *;ls|wc") == Words{"echo", "$HOME", "*;ls|wc"});
    CHECK_THAT(test::input_error_text([&] { words("read 'it"); }),
               Contains("--command: the quotation mark ' is never closed in 'read 'it'"));
    CHECK_THAT(test::input_error_text([&] { words(" "); }), Contains("names no program; write the program"));
    CHECK_THAT(test::input_error_text([&] { words("'' x"); }), Contains("names no program"));
}

TEST_CASE("a program is run once for each reading and told what the screen shows") {
    const ReadingOutcome outcome = outcome_of(
        "set -- $ISOSEAM_DRIVE\necho 380 $1; echo 390 $2; echo 400 $3\n"
        "[ $ISOSEAM_STEP = ramp.r.128 ] && echo 410 $ISOSEAM_READING\necho noise >&2");
    const auto& spectrum = std::get<InstrumentSpectrum>(outcome);
    CHECK(spectrum.values == std::vector<double>{0.5, 0.0, 1.0, 7.0});
    const InstrumentRecord record =
        CommandInstrument({"read 'a b'", ReadingUnit::counts, 1.0, "bench instrument 3"}).record();
    CHECK(record.description == "bench instrument 3, command 'read a b'");
    CHECK(record.unit == ReadingUnit::counts);
    CHECK(record.not_for_data.empty());
}

TEST_CASE("a program that fails, hangs, is not there or prints without end is named with a way out") {
    const ReadingFailure failed = failure_of("echo 380 1\necho starting >&2\necho lamp is cold >&2\nexit 4");
    CHECK(failed.trouble == Trouble::failed);
    CHECK_THAT(failed.found, Contains("ended with status 4 and said: lamp is cold"));
    CHECK(failed.remedy == "run the command by hand to see why");
    CHECK_THAT(failure_of("kill -9 $$").found,
               Contains("was ended by signal 9 and said nothing on standard error"));

    const ReadingFailure hung = failure_of("echo waiting for trigger >&2\nsleep 1000 & wait", 0.3);
    CHECK(hung.trouble == Trouble::time_out);
    CHECK_THAT(hung.found, Contains("had not ended after 0.3 s and said: waiting for trigger"));
    CHECK_THAT(hung.remedy, Contains("--timeout"));

    const ReadingFailure endless = failure_of("while :; do echo 380 1; done");
    CHECK(endless.trouble == Trouble::garbled);
    CHECK_THAT(endless.found, Contains("printed more than a megabyte"));

    CommandInstrument missing({"/no/such/program", ReadingUnit::counts, 1.0, ""});
    const auto not_there = std::get<ReadingFailure>(missing.read(shown_patch()));
    CHECK(not_there.found == "'/no/such/program' cannot be run (No such file or directory)");
    CHECK(not_there.remedy == "check the program's path and that it may be run");
}

TEST_CASE("a program may close its output early, or leave something behind that holds it open") {
    CHECK(std::holds_alternative<InstrumentSpectrum>(
        outcome_of("echo 380 1; echo 390 2; exec >&- 2>&-; sleep 0.1")));
    CHECK(std::holds_alternative<InstrumentSpectrum>(outcome_of("echo 380 1; echo 390 2; sleep 5 & exit 0")));
}
