// A fake instrument on a pseudo-terminal: it answers well, slowly, not at all, garbled, half, or goes away.

#include "calibration/instruments/serial_instrument.h"

#include <fcntl.h>
#include <poll.h>
#include <pty.h>
#include <sys/ioctl.h>
#include <sys/syscall.h>
#include <unistd.h>

#include <atomic>
#include <catch2/catch.hpp>
#include <chrono>
#include <cstdarg>
#include <functional>
#include <thread>

#include "support/temporary_folder.h"

// A pseudo-terminal has no modem lines, which the serial library asks for when it opens a port. This program
// lends it some that are always off. NOLINTNEXTLINE: the system's own name
extern "C" int ioctl(int fd, unsigned long request, ...) {
    va_list list;
    va_start(list, request);
    void* argument = va_arg(list, void*);
    va_end(list);
    if (request == TIOCMGET && isatty(fd) != 0) {
        *static_cast<int*>(argument) = 0;
        return 0;
    }
    if ((request == TIOCMSET || request == TIOCMBIS || request == TIOCMBIC) && isatty(fd) != 0)
        return 0;
    return static_cast<int>(syscall(SYS_ioctl, fd, request, argument));
}

using namespace isoseam;
using Catch::Contains;

namespace {

// The instrument's side of a serial line. Calls `answer` with each line that it hears, from a thread of its
// own.
class FakeInstrument {
  public:
    using Answer = std::function<void(FakeInstrument&, const std::string& line)>;

    explicit FakeInstrument(Answer answer) : answer_(std::move(answer)) { plug_in(); }
    ~FakeInstrument() { unplug(); }
    FakeInstrument(const FakeInstrument&) = delete;
    FakeInstrument& operator=(const FakeInstrument&) = delete;

    // The serial library takes a name below /dev and looks the same name up below /sys/class/tty, where no
    // pseudo-terminal stands: this name leads to the same link from both.
    std::string port() const { return "/dev/../../.." + folder_.file("port"); }

    void say(const std::string& bytes) const {
        REQUIRE(::write(instrument_, bytes.data(), bytes.size()) == static_cast<ssize_t>(bytes.size()));
    }
    // From within `answer`: the line is gone when it returns.
    void go_away() { gone_ = true; }

    void plug_in() {
        char name[128];
        REQUIRE(::openpty(&instrument_, &other_end_, name, nullptr, nullptr) == 0);
        ::unlink(folder_.file("port").c_str());
        REQUIRE(::symlink(name, folder_.file("port").c_str()) == 0);
        gone_ = false;
        thread_ = std::thread([this] { listen(); });
    }
    void unplug() {
        stopping_ = true;
        if (thread_.joinable())
            thread_.join();
        stopping_ = false;
        ::unlink(folder_.file("port").c_str());
    }

  private:
    void listen() {
        std::string heard;
        while (!stopping_ && !gone_) {
            pollfd look{instrument_, POLLIN, 0};
            char byte = 0;
            if (::poll(&look, 1, 10) <= 0 || ::read(instrument_, &byte, 1) != 1)
                continue;
            heard += byte;
            if (byte == '\n')
                answer_(*this, std::exchange(heard, ""));
        }
        ::close(other_end_);
        ::close(instrument_);
    }

    test::TemporaryFolder folder_;
    Answer answer_;
    std::thread thread_;
    std::atomic<bool> stopping_{false};
    std::atomic<bool> gone_{false};
    int instrument_ = -1;
    int other_end_ = -1;
};

SerialInstrument connected(const FakeInstrument& fake, const std::string& within = "0.4 s") {
    return SerialInstrument(
        {fake.port(),
         parse_dialect(
             "isoseam_dialect: 1\ninstrument: invented\nline: {baud: 38400}\n"
             "opening:\n  - {send: \"HELLO\\n\", until: \"\\r\\n\", expect: READY, within: " +
                 within +
                 "}\n"
                 "reading: {send: \"LOOK\\n\", until: \"END\\r\\n\", within: " +
                 within +
                 ", separated_by: comma, holds: values, first: 400 nm, step: 10 nm, count: 4}\n"
                 "unit: W/(sr m2 nm)\n"
                 "replies:\n  - {begins: BRIGHT, means: saturated}\n  - {begins: DARK, means: too dark}\n",
             "fake.yaml")});
}

// Greets well, and answers the n-th LOOK with the n-th of these; the last one again and again.
FakeInstrument::Answer greeting_then(std::vector<FakeInstrument::Answer> looks) {
    return [looks = std::move(looks), next = std::size_t{0}](FakeInstrument& fake,
                                                             const std::string& line) mutable {
        if (line == "HELLO\n")
            return fake.say("I AM READY\r\n");
        const FakeInstrument::Answer& look = looks[std::min(next, looks.size() - 1)];
        ++next;
        look(fake, line);
    };
}

FakeInstrument::Answer saying(std::string bytes) {
    return [bytes = std::move(bytes)](FakeInstrument& fake, const std::string& /*line*/) { fake.say(bytes); };
}

void let_pass() {
    std::this_thread::sleep_for(std::chrono::milliseconds(30));
}

const std::string kGood = "1,2,\r\n3,4\r\nEND\r\n";

bool is_good(const ReadingOutcome& outcome) {
    const auto* spectrum = std::get_if<InstrumentSpectrum>(&outcome);
    if (spectrum == nullptr)
        UNSCOPED_INFO(std::get<ReadingFailure>(outcome).found);
    return spectrum != nullptr && spectrum->values == std::vector<double>{1.0, 2.0, 3.0, 4.0} &&
           spectrum->wavelengths_nm == std::vector<double>{400.0, 410.0, 420.0, 430.0};
}

ReadingFailure failure(const ReadingOutcome& outcome) {
    REQUIRE(std::holds_alternative<ReadingFailure>(outcome));
    return std::get<ReadingFailure>(outcome);
}

}  // namespace

TEST_CASE("an instrument on a serial line is greeted once and read again and again") {
    std::atomic<int> greetings{0};
    const FakeInstrument::Answer answers = greeting_then({saying(kGood)});
    FakeInstrument fake([&](FakeInstrument& self, const std::string& line) {
        greetings += line == "HELLO\n" ? 1 : 0;
        answers(self, line);
    });
    SerialInstrument instrument = connected(fake, "20 s");
    for (int i = 0; i < 5; ++i)
        CHECK(is_good(instrument.read({})));
    CHECK(greetings == 1);
    CHECK(instrument.record().description == "invented, on " + fake.port() + ", dialect fake.yaml");
}

TEST_CASE("a slow answer in pieces is waited for") {
    FakeInstrument fake(greeting_then({[](FakeInstrument& self, const std::string& /*line*/) {
        for (const char byte : kGood) {
            let_pass();
            self.say(std::string(1, byte));
        }
    }}));
    SerialInstrument instrument = connected(fake, "20 s");
    CHECK(is_good(instrument.read({})));
}

TEST_CASE("a silent instrument times out, is named with its settings, and may answer the next time") {
    FakeInstrument fake(greeting_then({[](FakeInstrument&, const std::string&) {}, saying(kGood)}));
    SerialInstrument instrument = connected(fake);
    const ReadingFailure silent = failure(instrument.read({}));
    CHECK(silent.trouble == Trouble::time_out);
    CHECK(silent.found == "no answer to 'LOOK\\n' within 0.4 s");
    CHECK(silent.remedy ==
          "see that the instrument is on, awake and set to 38400 baud, 8 data bits, no parity, 1 stop "
          "bit(s), or allow "
          "more time in fake.yaml");
    CHECK(is_good(instrument.read({})));
}

TEST_CASE("an answer that is cut off is told, and its late rest does not spoil the next one") {
    FakeInstrument fake(greeting_then(
        {saying("1,2,\r\n3"), [](FakeInstrument& self, const std::string& /*line*/) { self.say(kGood); }}));
    SerialInstrument instrument = connected(fake);
    const ReadingFailure cut = failure(instrument.read({}));
    CHECK(cut.trouble == Trouble::time_out);
    CHECK(cut.found ==
          "the answer to 'LOOK\\n' was cut off: after 0.4 s it was '1,2,\\r\\n3' (7 bytes) without its end "
          "'END\\r\\n'");
    fake.say(",4\r\nEND\r\n");  // too late
    let_pass();
    CHECK(is_good(instrument.read({})));
}

TEST_CASE("a garbled answer is told and the line begun anew") {
    FakeInstrument fake(
        greeting_then({saying("1,\x81\x82,3,4\r\nEND\r\n"), saying("1,2,3\r\nEND\r\n"), saying(kGood)}));
    SerialInstrument instrument = connected(fake, "20 s");
    const ReadingFailure garbled = failure(instrument.read({}));
    CHECK(garbled.trouble == Trouble::garbled);
    CHECK_THAT(garbled.found, Contains("number 2 of the answer is '\\x81\\x82'"));
    CHECK_THAT(failure(instrument.read({})).found, Contains("3 values instead of 4"));
    CHECK(is_good(instrument.read({})));
}

TEST_CASE("what the instrument says instead of a spectrum is heard at once") {
    FakeInstrument fake(greeting_then({saying("BRIGHT\r\n"), saying("DARK\r\n"), saying(kGood)}));
    SerialInstrument instrument = connected(fake, "300 s");
    CHECK(failure(instrument.read({})).trouble == Trouble::saturated);
    CHECK(failure(instrument.read({})).trouble == Trouble::too_dark);
    CHECK(is_good(instrument.read({})));
}

TEST_CASE("an instrument that is unplugged in the middle of an answer is found again when it is back") {
    FakeInstrument fake(greeting_then({[](FakeInstrument& self, const std::string& /*line*/) {
                                           self.say("1,2");
                                           self.go_away();
                                       },
                                       saying(kGood)}));
    SerialInstrument instrument = connected(fake, "20 s");
    const ReadingFailure gone = failure(instrument.read({}));
    CHECK(gone.trouble == Trouble::unplugged);
    CHECK_THAT(gone.found, Contains("it was lost after"));
    fake.unplug();
    const ReadingFailure away = failure(instrument.read({}));
    CHECK(away.trouble == Trouble::unplugged);
    CHECK_THAT(away.found, Contains("the line " + fake.port() + " is not there: "));
    CHECK_THAT(away.remedy, Contains("plug the instrument in and switch it on") && Contains("--port"));
    fake.plug_in();
    CHECK(is_good(instrument.read({})));
}

TEST_CASE("an instrument that greets otherwise is another one") {
    FakeInstrument fake(saying("WHO?\r\n"));
    SerialInstrument instrument = connected(fake, "20 s");
    const ReadingFailure stranger = failure(instrument.read({}));
    CHECK(stranger.found == "to 'HELLO\\n' the instrument answered 'WHO?\\r\\n' instead of 'READY'");
    CHECK(stranger.remedy == "see that fake.yaml is the dialect of this instrument");
}
