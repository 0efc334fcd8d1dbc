// What a lecture left behind, as a page for the class; and the drawings of a lecture's pages.

#include <algorithm>
#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "runner/lecture/class_report.h"
#include "runner/lecture/lecture_record.h"
#include "runner/lecture/page_pictures.h"
#include "support/error_text.h"
#include "support/example_session.h"
#include "support/seats/class_lecture.h"
#include "support/seats/obedient_station.h"
#include "support/temporary_folder.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

// Three people, of whom one changes an answer and one comes late; the match is steered to twice.
SessionFolder a_lecture(const TemporaryFolder& out) {
    const LectureSetup setup = class_lecture();
    ObedientStation station(setup.stage());
    SessionHeader header = describe_lecture(setup, station);
    header.started_utc = "2026-11-26T09:00:00.000Z";
    SessionLog log = SessionLog::create(out.path(), header, Durability::at_end);
    LectureRecord record(setup, station, log);
    const std::vector<Scene>& scenes = setup.lecture().scenes;
    const auto show = [&](int scene) {
        record.scene_shown(scene, scenes[static_cast<std::size_t>(scene - 1)]);
    };
    const auto answer = [&](int person, int scene, const char* key, const nlohmann::json& value) {
        record.add({"class_answer", {{"scene", scene}, {"person", person}, {key, value}}});
    };
    record.started({});
    record.add({"person_joined", {{"person", 1}}});
    record.add({"person_joined", {{"person", 2}}});
    show(3);
    answer(1, 3, "choice", 1);
    answer(2, 3, "choice", 2);
    answer(1, 3, "choice", 2);
    record.answers_opened(3, false);
    answer(2, 3, "choice", 1);  // too late
    record.add({"person_joined", {{"person", 3}}});
    show(5);
    answer(1, 5, "sliders", {0.2});
    record.setting(4, {0.9}, {0.2}, 10.0);
    show(5);
    answer(2, 5, "sliders", {0.3});
    answer(3, 5, "sliders", {0.4});
    record.setting(4, {0.2}, {0.3}, 10.0);
    show(6);
    record.ended(true);
    REQUIRE(record.write().empty());
    return read_session_folder(log.folder());
}

std::string cell(const PageSection& section, std::size_t row, std::size_t column) {
    for (const PageBlock& block : section.blocks) {
        if (const auto* table = std::get_if<PageTable>(&block))
            return table->rows.at(row).at(column);
    }
    return "no table";
}

}  // namespace

TEST_CASE("a lecture's folder is folded into the room as it was left") {
    const TemporaryFolder out;
    const SessionFolder folder = a_lecture(out);
    REQUIRE(folder.faults.empty());
    const GivenLecture given = given_lecture(folder);
    CHECK(given.room.joined() == 3);
    CHECK(given.room.choice_counts(3) == std::vector<int>{0, 2});
    CHECK(given.room.medians(5) == std::vector<double>{0.3});
    CHECK(given.shown == std::vector<bool>{false, false, true, false, true, true});
    CHECK(given.found.at(4) == std::vector<double>{0.3});
    CHECK(given.settings.at(4).repeat == 2);
}

TEST_CASE("answers from before a room was emptied do not count in what a lecture left behind") {
    const TemporaryFolder out;
    const LectureSetup setup = class_lecture();
    ObedientStation station(setup.stage());
    SessionHeader header = describe_lecture(setup, station);
    header.started_utc = "2026-11-26T09:00:00.000Z";
    SessionLog log = SessionLog::create(out.path(), header, Durability::at_end);
    LectureRecord record(setup, station, log);
    record.started({});
    record.scene_shown(3, setup.lecture().scenes[2]);
    for (int person = 1; person <= 3; ++person) {
        record.add({"person_joined", {{"person", person}}});
        record.add({"class_answer", {{"scene", 3}, {"person", person}, {"choice", 1}}});
    }
    record.add({"room_emptied", nlohmann::json::object()});
    record.add({"class_answer", {{"scene", 3}, {"person", 1}, {"choice", 1}}});
    // Somebody who only asked for a place had number 4.
    record.add({"person_joined", {{"person", 5}}});
    record.add({"person_joined", {{"person", 6}}});
    record.add({"class_answer", {{"scene", 3}, {"person", 6}, {"choice", 2}}});
    record.ended(true);
    REQUIRE(record.write().empty());
    const SessionFolder folder = read_session_folder(log.folder());
    REQUIRE(folder.faults.empty());
    const GivenLecture given = given_lecture(folder);
    CHECK(given.room.joined() == 2);
    CHECK(given.room.choice_counts(3) == std::vector<int>{0, 1});
}

TEST_CASE("the class's page tells what was shown, in the class's language, and diagnoses nobody") {
    const TemporaryFolder out;
    const SessionFolder folder = a_lecture(out);
    const GivenLecture given = given_lecture(folder);
    const PageDocument page = class_report(folder, given, "de", "Isoseam");
    CHECK(page.title == "Zwei Grau");
    CHECK(page.language == "de");
    CHECK(page.lead.front() == "3 Personen haben am 2026-11-26 teilgenommen.");
    REQUIRE(page.sections.size() == 4);  // what it is not, and the three scenes that were shown
    CHECK(page.sections[0].warns);
    CHECK(page.sections[0].blocks.size() == 2);  // invented data, no diagnosis
    CHECK(cell(page.sections[1], 1, 0) == "2  Nein (richtig)");
    CHECK(cell(page.sections[1], 1, 1) == "2");
    CHECK(cell(page.sections[1], 1, 2) == "100");
    CHECK(cell(page.sections[2], 0, 2) == "0.30");
    const bool has_figure =
        std::any_of(page.sections[3].blocks.begin(), page.sections[3].blocks.end(),
                    [](const PageBlock& block) { return std::holds_alternative<PageFigure>(block); });
    CHECK(has_figure);
}

TEST_CASE("what no lecture left behind is refused") {
    const TemporaryFolder out;
    SessionHeader header = example_header();
    const std::string folder = SessionLog::create(out.path(), header, Durability::at_end).folder();
    CHECK(input_error_text([&] {
              given_lecture(read_session_folder(folder));
          }).find("is not what a lecture left behind") != std::string::npos);
}

TEST_CASE("an address becomes a QR code with its quiet zone, and one that is too long is refused") {
    const std::string address = "http://192.168.1.23:8080/?room=K7QX2P";
    const InkPicture picture = address_picture(address, 360);
    CHECK(picture.width_px == picture.height_px);
    CHECK(picture.width_px <= 360);
    // 37 letters at level M want version 3: 29 modules, with the quiet zone 37 (ISO/IEC 18004, table 7).
    CHECK(picture.width_px == 9 * 37);
    const auto dark = [&](int column, int row) {
        return picture
                   .ink[static_cast<std::size_t>(row * 9 + 4) * static_cast<std::size_t>(picture.width_px) +
                        static_cast<std::size_t>(column * 9 + 4)] == 255;
    };
    for (int module = 0; module < 37; ++module) {
        CHECK_FALSE(dark(module, 3));
        CHECK_FALSE(dark(33, module));
    }
    // The finder pattern: a dark frame, a light one, a dark square of three.
    const std::string finder = "1111111/1000001/1011101/1011101/1011101/1000001/1111111/";
    std::string found;
    for (int row = 4; row < 11; ++row) {
        for (int column = 4; column < 11; ++column)
            found += dark(column, row) ? '1' : '0';
        found += '/';
    }
    CHECK(found == finder);
    CHECK(input_error_text([&] { address_picture(std::string(600, 'x'), 100); }).find("--join-address") !=
          std::string::npos);
}

TEST_CASE("a figure becomes ink on paper, as large as fits") {
    Figure figure;
    figure.width_mm = 100.0;
    figure.height_mm = 50.0;
    Series line;
    line.x = {0.0, 1.0};
    line.y = {0.0, 1.0};
    figure.rows = {{1.0, {Panel{.series = {line}}}}};
    const InkPicture picture = figure_picture(figure, 400, 400);
    CHECK(picture.width_px == 400);
    CHECK(picture.height_px <= 400);
    CHECK(std::count(picture.ink.begin(), picture.ink.end(), 0) >
          static_cast<std::ptrdiff_t>(picture.ink.size() / 2));
    CHECK(*std::max_element(picture.ink.begin(), picture.ink.end()) > 200);
}
