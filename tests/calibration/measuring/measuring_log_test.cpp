#include "calibration/measuring/measuring_log.h"

#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <cerrno>
#include <random>

#include "base/errors.h"
#include "calibration/instruments/simulated_instrument.h"
#include "support/error_text.h"
#include "support/file_bytes.h"
#include "support/rehearsed_measurement.h"
#include "support/temporary_folder.h"

using namespace isoseam;
using Catch::Contains;

namespace {

SimulatedInstrument example_instrument() {
    return SimulatedInstrument(simulated_screen("additive", ""), 1);
}

MeasurementHeader example_header() {
    MeasurementHeader header;
    header.program_version = "0.1.0";
    header.started_utc = "2026-11-25T16:03:12Z";
    header.plan.kind = PlanKind::quick;
    header.plan.warm_up = false;
    header.plan.surround.fractions = Eigen::Vector3d(0.25, 0.1, 1.0 / 3.0);
    header.plan.places = 0;
    header.screen = {"DP-1", 0, 1920, 1080, 59.951, 8, "x11", true};
    header.instrument = example_instrument().record();
    header.instrument_options = {{"instrument", "simulated"}, {"seed", "1"}};
    header.warnings = {"an example"};
    return header;
}

// One reading more; its step.
void read_one(MeasuringLog& log) {
    SimulatedInstrument instrument = example_instrument();
    const MeasuringNext next = next_of(log.state());
    log.append(test::taken_by(instrument, log.state(), std::get<ReadNext>(next)));
}

std::string log_file(const MeasuringLog& log) {
    return log.folder() + "/measurement.jsonl";
}

void check_same(const MeasuringState& a, const MeasuringState& b) {
    REQUIRE(a.readings.size() == b.readings.size());
    CHECK(a.wavelengths_nm == b.wavelengths_nm);
    for (std::size_t i = 0; i < a.readings.size(); ++i) {
        REQUIRE(a.readings[i].values == b.readings[i].values);
        REQUIRE(a.readings[i].at_s == b.readings[i].at_s);
        REQUIRE(a.readings[i].step == b.readings[i].step);
    }
    CHECK(a.remarks == b.remarks);
    CHECK(readings_left(a) == readings_left(b));
}

int failing(int error) {
    errno = error;
    return -1;
}

}  // namespace

TEST_CASE("a measurement is gone on with where it stood, bit by bit") {
    const test::TemporaryFolder parent;
    std::string folder;
    MeasuringState before;
    {
        MeasuringLog log = MeasuringLog::create(parent.file("new/out"), example_header());
        for (int i = 0; i < 12; ++i)
            read_one(log);
        log.append(Remark{61.0, "time out: \"no\" answer\n"});
        log.append(StepLeftOut{log.state().plan->steps[10].id, 62.0, "too dark"});
        log.append(MeasurementResumed{70.0});
        log.append(WentOnUnsettled{71.0});
        folder = log.folder();
        before = log.state();
    }
    CHECK(folder == parent.file("new/out/quick-20261125T160312Z"));
    const MeasuringLog log = MeasuringLog::resume(folder);
    check_same(log.state(), before);
    CHECK(log.state().steps[10].left_out == "too dark");
    CHECK_FALSE(log.state().settled);
    CHECK_FALSE(log.lost_torn_line());
    CHECK(changes_since(log.header(), example_header()).empty());
    CHECK(log.header().instrument_options == example_header().instrument_options);
    CHECK(log.header().plan.surround.fractions == example_header().plan.surround.fractions);
}

TEST_CASE("two measurements never share a folder, and two programs never a log") {
    const test::TemporaryFolder parent;
    const MeasuringLog first = MeasuringLog::create(parent.path(), example_header());
    const MeasuringLog second = MeasuringLog::create(parent.path(), example_header());
    CHECK(second.folder() == first.folder() + "-2");
    CHECK_THROWS_WITH(MeasuringLog::resume(first.folder()),
                      Contains("another program is measuring into " + first.folder()));
}

TEST_CASE("a line that was torn by a power failure is cut off, at whatever byte") {
    const test::TemporaryFolder parent;
    std::string folder;
    {
        MeasuringLog log = MeasuringLog::create(parent.path(), example_header());
        for (int i = 0; i < 3; ++i)
            read_one(log);
        folder = log.folder();
    }
    const std::string whole = test::file_bytes(folder + "/measurement.jsonl");
    const std::size_t two = whole.rfind('\n', whole.size() - 2) + 1;
    for (std::size_t length = two + 1; length < whole.size(); length += 97) {
        test::write_file(folder + "/measurement.jsonl", whole.substr(0, length));
        MeasuringLog log = MeasuringLog::resume(folder);
        REQUIRE(log.lost_torn_line());
        REQUIRE(log.state().readings.size() == 2);
        read_one(log);
        REQUIRE(test::file_bytes(folder + "/measurement.jsonl") == whole);
    }
}

TEST_CASE("a line that was changed, lost or swapped by hand is named") {
    const test::TemporaryFolder parent;
    std::string folder;
    {
        MeasuringLog log = MeasuringLog::create(parent.path(), example_header());
        for (int i = 0; i < 3; ++i)
            read_one(log);
        folder = log.folder();
    }
    const std::string path = folder + "/measurement.jsonl";
    const std::string whole = test::file_bytes(path);
    const auto text_after = [&](const std::string& bytes) {
        test::write_file(path, bytes);
        return test::input_error_text([&] { MeasuringLog::resume(folder); });
    };
    std::string changed = whole;
    const std::size_t digit = changed.find("\"at_s\":5.0");
    REQUIRE(digit != std::string::npos);
    changed[digit + 7] = '6';
    CHECK_THAT(text_after(changed),
               Contains("measurement.jsonl:3: was changed since it was written; restore the file"));
    const std::size_t second = whole.find('\n') + 1;
    const std::size_t third = whole.find('\n', second) + 1;
    CHECK_THAT(text_after(whole.substr(0, second) + whole.substr(third)),
               Contains("measurement.jsonl:2: was changed"));
    CHECK_THAT(text_after("hello\n"), Contains("is no line of a measurement"));
    CHECK_THAT(text_after(""),
               Contains("holds no measurement; name a folder that 'isoseam display measure' has made"));
    CHECK_THAT(test::input_error_text([&] { MeasuringLog::resume(parent.file("nowhere")); }),
               Contains("nowhere/measurement.jsonl: cannot be read"));
}

TEST_CASE("a changed plan, screen or instrument is noticed, each by name") {
    const MeasurementHeader then = example_header();
    MeasurementHeader now = then;
    now.plan.seed = 2;
    now.screen.width_px = 2560;
    now.screen.name = "HDMI-1";
    now.screen.bits = 10;
    now.instrument.description = "another";
    now.instrument.unit = ReadingUnit::counts;
    CHECK(changes_since(then, now) ==
          std::vector<std::string>{"plan: was 'quick' with seed 1, is now 'quick' with seed 2",
                                   "screen: was 0 ('DP-1'), is now 0 ('HDMI-1')",
                                   "resolution: was 1920 x 1080, is now 2560 x 1080",
                                   "bits of the frame buffer: was 8, is now 10",
                                   "instrument: was simulated screen 'additive', seed 1, is now another",
                                   "unit: was W/(sr m2 nm), is now counts"});
    now = then;
    now.plan.repeats = 4;
    CHECK(changes_since(then, now).at(0) ==
          "plan: was 'quick' with seed 1, is now 'quick' with seed 1, with other options");
}

TEST_CASE("each reading is synced before append returns, and a full disk loses none and can be made good") {
    const test::TemporaryFolder parent;
    std::string order;
    bool full = false;
    AppendCalls calls = AppendCalls::real();
    int written = 0;
    calls.write = [&](int fd, const void* bytes, std::size_t count) -> ssize_t {
        order += 'w';
        if (full && written++ > 0)
            return failing(ENOSPC);
        return ::write(fd, bytes, full ? std::min<std::size_t>(count, 100) : count);
    };
    calls.sync = [&](int fd) {
        order += 's';
        return ::fdatasync(fd);
    };
    MeasuringLog log = MeasuringLog::create(parent.path(), example_header(), calls);
    read_one(log);
    CHECK(order == "wsws");
    const std::string before = test::file_bytes(log_file(log));
    full = true;
    CHECK_THROWS_WITH(read_one(log), Contains("disk full: cannot write " + log_file(log)) &&
                                         Contains("go on with --resume; every reading kept before is safe"));
    CHECK(log.state().readings.size() == 1);
    CHECK(test::file_bytes(log_file(log)) == before);
    full = false;
    read_one(log);
    CHECK(log.state().readings.size() == 2);
}

TEST_CASE("short writes are completed, interrupted calls repeated, and a failing sync counts as not kept") {
    const test::TemporaryFolder parent;
    int made = 0;
    bool broken = false;
    AppendCalls calls = AppendCalls::real();
    calls.write = [&](int fd, const void* bytes, std::size_t count) -> ssize_t {
        return ++made % 3 == 0 ? failing(EINTR) : ::write(fd, bytes, std::min<std::size_t>(count, 11));
    };
    calls.sync = [&](int fd) {
        return broken ? failing(EIO) : ++made % 2 == 0 ? failing(EINTR) : ::fdatasync(fd);
    };
    MeasuringLog log = MeasuringLog::create(parent.path(), example_header(), calls);
    read_one(log);
    broken = true;
    CHECK_THROWS_AS(read_one(log), MachineError);
    broken = false;
    read_one(log);
    const MeasuringState state = log.state();
    const std::string folder = log.folder();
    { const MeasuringLog gone = std::move(log); }
    check_same(MeasuringLog::resume(folder).state(), state);
}

TEST_CASE("killed at random moments: every reading that was told as kept is there, none twice") {
    std::mt19937 random(17);
    for (int moment = 0; moment < 25; ++moment) {
        const test::TemporaryFolder parent;
        int ends[2];
        REQUIRE(::pipe(ends) == 0);
        const pid_t child = ::fork();
        if (child == 0) {
            MeasuringLog log = MeasuringLog::create(parent.path(), example_header());
            for (int kept = 1; !std::holds_alternative<AllRead>(next_of(log.state())); ++kept) {
                read_one(log);
                if (::write(ends[1], &kept, sizeof kept) != sizeof kept)
                    ::_exit(1);
            }
            for (;;)
                ::pause();
        }
        ::close(ends[1]);
        const int wait_for = 1 + static_cast<int>(random() % 30U);
        int told = 0;
        while (told < wait_for && ::read(ends[0], &told, sizeof told) == sizeof told) {
        }
        ::usleep(static_cast<useconds_t>(random() % 1500U));
        ::kill(child, SIGKILL);
        ::waitpid(child, nullptr, 0);
        while (::read(ends[0], &told, sizeof told) == sizeof told) {
        }
        ::close(ends[0]);
        MeasuringLog log = MeasuringLog::resume(parent.file("quick-20261125T160312Z"));
        const auto kept = static_cast<int>(log.state().readings.size());
        INFO("told " << told << ", kept " << kept);
        REQUIRE(kept >= told);
        REQUIRE(kept <= told + 1);
        SimulatedInstrument instrument = example_instrument();
        check_same(log.state(), test::rehearsed(measuring_begun(make_plan(example_header().plan)), instrument,
                                                [&](const MeasuringState& state) {
                                                    return static_cast<int>(state.readings.size()) == kept;
                                                }));
    }
}
