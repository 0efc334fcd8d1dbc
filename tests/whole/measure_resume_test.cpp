// isoseam display measure --resume, with a folder that somebody else has made: nothing that its log names is
// run or opened unless somebody agrees.

#include <catch2/catch.hpp>
#include <filesystem>

#include "isoseam_program.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

using namespace isoseam::test;
using Catch::Contains;
using Words = std::vector<std::string>;

namespace {

// A measurement that stopped at its first reading. Its program leaves a mark whenever it is run.
class ForeignFolder {
  public:
    ForeignFolder() {
        const ProgramResult begun =
            run_isoseam({"display", "measure", "--yes", "--rehearse", "--plan", "quick", "--warm-up", "no",
                         "--instrument", "command", "--command", command(), "--out", folder_.file("out")});
        INFO(begun.err);
        REQUIRE(begun.status == 3);
        REQUIRE(has_run());
        std::filesystem::remove(mark());
        path_ = std::filesystem::directory_iterator(folder_.file("out"))->path().string();
    }
    const std::string& path() const { return path_; }
    std::string file(const std::string& name) const { return folder_.file(name); }
    std::string command() const { return "touch " + mark(); }
    bool has_run() const { return std::filesystem::exists(mark()); }

  private:
    std::string mark() const { return folder_.file("mark"); }

    TemporaryFolder folder_;
    std::string path_;
};

Words resumed(const ForeignFolder& folder, Words more) {
    more.insert(more.begin(), {"display", "measure", "--rehearse", "--resume", folder.path()});
    return more;
}

// As if typed at a terminal, whose words come back in `out`.
ProgramResult at_terminal(const Words& words, const std::string& typed) {
    std::string line;
    for (const std::string& word : isoseam_words(words))
        line += "'" + word + "' ";
    ProgramOptions options;
    options.input = typed;
    return run_program({"script", "--quiet", "--return", "--command", line, "/dev/null"}, options);
}

}  // namespace

TEST_CASE("measure: nobody is asked about a folder's program with --yes, so it has to be given again") {
    const ForeignFolder folder;
    for (const Words& more : {Words{"--yes"}, Words{}}) {
        const ProgramResult silent = run_isoseam(resumed(folder, more));
        CHECK(silent.status == 2);
        CHECK_THAT(silent.err,
                   Contains(folder.path() + ": --command: the folder's log wants to run the program \"" +
                            folder.command() +
                            "\", and nobody is asked; if you trust the folder, give --command "
                            "again with the same words"));
        CHECK_FALSE(folder.has_run());
    }
    const ProgramResult other = run_isoseam(resumed(folder, {"--yes", "--command", "true"}));
    CHECK(other.status == 2);
    CHECK_THAT(other.err, Contains("and \"true\" was given; give the same, begin a new measurement, or go on "
                                   "with --despite changed"));
    CHECK_FALSE(folder.has_run());
    const ProgramResult same = run_isoseam(resumed(folder, {"--yes", "--command", folder.command()}));
    CHECK(same.status == 3);  // it still gives no reading
    CHECK(folder.has_run());
}

TEST_CASE("measure: at a terminal a folder's program is shown, and run after yes alone") {
    const ForeignFolder folder;
    for (const char* typed : {"no\n", "\n", "y\n"}) {
        const ProgramResult refused = at_terminal(resumed(folder, {}), typed);
        CHECK(refused.status == 130);
        CHECK_THAT(refused.out,
                   Contains("the folder's log wants to run the program \"" + folder.command() + "\"") &&
                       Contains("Type yes to allow it; anything else leaves."));
        CHECK_FALSE(folder.has_run());
    }
    const ProgramResult agreed = at_terminal(resumed(folder, {}), "yes\n\n");
    INFO(agreed.out);
    CHECK(agreed.status == 3);  // it still gives no reading
    CHECK(folder.has_run());
}

TEST_CASE("measure: the program that a folder names is told in letters that steer no terminal") {
    const TemporaryFolder folder;
    const ProgramResult begun =
        run_isoseam({"display", "measure", "--yes", "--rehearse", "--plan", "quick", "--warm-up", "no",
                     "--instrument", "command", "--command", "\x1b[2Jfalse", "--out", folder.path()});
    CHECK(begun.status == 3);
    const std::string begun_folder = std::filesystem::directory_iterator(folder.path())->path().string();
    const ProgramResult silent =
        run_isoseam({"display", "measure", "--yes", "--rehearse", "--resume", begun_folder});
    CHECK(silent.status == 2);
    CHECK_THAT(silent.err, Contains("run the program \"\\u001b[2Jfalse\"") && !Contains("\x1b"));
}
