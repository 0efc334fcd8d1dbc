#include <fmt/format.h>

#include <catch2/catch.hpp>
#include <cstdlib>

#include "results_schema/export.h"
#include "results_schema/records_table.h"
#include "results_schema/session_folder.h"
#include "support/example_session.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

using namespace isoseam;

namespace {

// The n-th block of README.md that starts with ```language.
std::string snippet(const std::string& language, int n) {
    const std::string text = test::file_bytes(std::string(ISOSEAM_SOURCE_DIR) + "/results_schema/README.md");
    const std::string fence = "```" + language + "\n";
    std::size_t begin = 0;
    for (int i = 0; i < n; ++i) {
        begin = text.find(fence, begin);
        REQUIRE(begin != std::string::npos);
        begin += fence.size();
    }
    return text.substr(begin, text.find("```", begin) - begin);
}

std::string output_of(const std::string& interpreter, const std::string& program,
                      const std::string& arguments, int expected_status) {
    const test::TemporaryFolder folder;
    test::write_file(folder.file("program"), program);
    const std::string command =
        fmt::format("cd {} && {} program {} > output 2>&1", folder.path(), interpreter, arguments);
    const int status = std::system(command.c_str());
    std::string output = test::file_bytes(folder.file("output"));
    INFO(output);
    CHECK((status == 0) == (expected_status == 0));
    return output;
}

std::string output_of(const std::string& program, const std::string& arguments, int expected_status) {
    return output_of("/usr/bin/python3", program, arguments, expected_status);
}

}  // namespace

TEST_CASE("the README's Python reads a session folder and checks its chain") {
    const test::TemporaryFolder parent;
    const std::string folder = test::write_example(parent.path(), 4);
    const std::string program = snippet("python", 1);
    // Trials 1 and 3 are pale with 1 % and 3 % of L contrast, 2 and 4 dark with 2 % and 4 %.
    CHECK(output_of(program, folder, 0) ==
          "dark: 2 settings, L contrast 3.000 %, SD 1.414\n"
          "pale: 2 settings, L contrast 2.000 %, SD 1.414\n");
    std::string log = test::file_bytes(folder + "/settings.jsonl");
    test::write_file(folder + "/settings.jsonl", log + "{\"number\":99,\"unfin");
    CHECK(output_of(program, folder, 0).starts_with("dark: 2 settings"));
    log.replace(log.find("\"pale\"", log.size() / 2), 6, "\"dark\"");
    test::write_file(folder + "/settings.jsonl", log);
    CHECK(output_of(program, folder, 1).ends_with("was changed\n"));
}

TEST_CASE("the README's Python reads the table") {
    const test::TemporaryFolder parent;
    const SessionFolder folder = read_session_folder(test::write_example(parent.path(), 4));
    test::write_file(parent.file("settings.csv"), settings_table_header() + settings_table_rows(folder));
    CHECK(output_of(snippet("python", 2), parent.file("settings.csv"), 0) ==
          "P01 dark 3.000\nP01 pale 2.000\n");
}

TEST_CASE("the README's Python reads a BIDS data set") {
    const test::TemporaryFolder parent;
    const std::string folder = test::write_example(parent.path(), 4);
    export_sessions({{folder}, ExportForm::bids, parent.file("bids"), "Seam", "2026-11-26", "0.1.0", {}});
    CHECK(output_of(snippet("python", 3), parent.file("bids"), 0) ==
          "sub-P01_ses-01_task-twosourcessettings: 4 rows, mean contrast_l 0.025 (1 (a fraction))\n");
}

TEST_CASE("the README's R reads the table") {
    if (std::system("Rscript --version > /dev/null 2>&1") != 0) {
        WARN("there is no Rscript here: the R of the README is not tried");
        return;
    }
    const test::TemporaryFolder parent;
    const SessionFolder folder = read_session_folder(test::write_example(parent.path(), 4));
    test::write_file(parent.file("settings.csv"), settings_table_header() + settings_table_rows(folder));
    const std::string output =
        output_of("Rscript", fmt::format("setwd('{}')\n{}", parent.path(), snippet("r", 1)), "", 0);
    INFO(output);
    CHECK_THAT(output, Catch::Contains("P01") && Catch::Contains("dark") && Catch::Contains("3.000000") &&
                           Catch::Contains("1.414214"));
}
