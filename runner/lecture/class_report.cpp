#include "runner/lecture/class_report.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <utility>

#include "protocols/lectures/reveal_words.h"
#include "runner/lecture/class_figures.h"
#include "runner/station/phrases.h"

namespace isoseam {
namespace {

std::string ticket_of(int person) {
    return fmt::format("person {}", person);
}

LectureSetup recorded_lecture(const SessionHeader& header) {
    std::map<std::string, std::string> files;
    for (const auto& [path, stored] : header.files)
        files[path] = stored.text;
    std::vector<Calibration> calibrations;
    for (const SourceRecord& source : header.sources) {
        const StoredText& kept = header.calibrations.at(source.calibration);
        calibrations.push_back(parse_calibration(kept.text, kept.file));
    }
    return LectureSetup(parse_lecture(header.protocol.text, header.protocol.file, files), calibrations);
}

RoomAnswer answer_of(const nlohmann::json& data) {
    RoomAnswer answer;
    if (data.contains("choice"))
        answer.choice = data.at("choice").get<int>();
    else
        answer.sliders = data.at("sliders").get<std::vector<double>>();
    return answer;
}

// Returns the number of the scene with this name, or -1 if there is none.
int scene_named(const Lecture& lecture, const std::string& name) {
    const auto found = std::find_if(lecture.scenes.begin(), lecture.scenes.end(),
                                    [&](const Scene& scene) { return scene.name == name; });
    return found == lecture.scenes.end() ? -1 : static_cast<int>(found - lecture.scenes.begin());
}

std::string percent(int part, int all) {
    return fmt::format("{:.0f}", all == 0 ? 0.0 : 100.0 * part / all);
}

std::string counts_in_words(const std::vector<int>& counts) {
    std::string words;
    for (std::size_t i = 0; i < counts.size(); ++i)
        words += fmt::format("{}{}: {}", i == 0 ? "" : ", ", i + 1, counts[i]);
    return words;
}

PageFigure captioned(Figure figure, const std::string& title, const std::string& description) {
    figure.title = title;
    figure.description = description;
    return {title, std::move(figure)};
}

class ClassReportWriter {
  public:
    ClassReportWriter(const SessionFolder& folder, const GivenLecture& given, const std::string& language)
        : folder_(folder),
          given_(given),
          lecture_(given.room.lecture()),
          language_(language),
          phrases_(Phrases::read(language)) {}

    PageDocument document(const std::string& program) const {
        PageDocument page;
        page.title = text_in(lecture_, lecture_.title, language_);
        page.language = language_;
        page.dated_utc = folder_.header.started_utc;
        page.program = program;
        page.closing = program;
        page.words = {phrases_("page_contents"), phrases_("page_skip"), phrases_("page_table"),
                      phrases_("page_figure"), phrases_("page_page")};
        page.lead = {phrases_.filled("class_report_lead", given_.room.joined(),
                                     folder_.header.started_utc.substr(0, 10))};
        page.sections.push_back(cautions());
        for (int scene = 0; scene < given_.room.scene_count(); ++scene) {
            if (given_.shown[static_cast<std::size_t>(scene)])
                page.sections.push_back(section(scene));
        }
        return page;
    }

  private:
    PageSection cautions() const {
        PageSection section{phrases_("class_report_cautions"), {}, {}, true};
        if (folder_.header.demo_calibration)
            section.blocks.emplace_back(PageParagraph{phrases_("class_report_no_measurement")});
        section.blocks.emplace_back(PageParagraph{phrases_("class_report_no_diagnosis")});
        return section;
    }

    PageSection section(int index) const {
        const Scene& scene = lecture_.scenes[static_cast<std::size_t>(index)];
        PageSection section{title_of(lecture_, scene, language_), {}, {}, false};
        add_texts(section, text_in(lecture_, scene.say, language_));
        if (const auto* card = std::get_if<CardScene>(&scene.content))
            add_texts(section, text_in(lecture_, card->text, language_));
        else if (const auto* question = std::get_if<QuestionScene>(&scene.content))
            add_question(section, index, *question);
        else if (const auto* reveal = std::get_if<RevealScene>(&scene.content))
            add_reveal(section, index, *reveal);
        else if (asks(scene))
            add_sliders(section, index, scene);
        return section;
    }

    static void add_texts(PageSection& section, const std::vector<std::string>& texts) {
        for (const std::string& text : texts)
            section.blocks.emplace_back(PageParagraph{text});
    }

    void add_question(PageSection& section, int index, const QuestionScene& question) const {
        const std::vector<int> counts = given_.room.choice_counts(index + 1);
        const int all = given_.room.answer_count(index + 1);
        PageTable table{phrases_.filled("lecture_answers", all),
                        {phrases_("class_report_choice"), phrases_("lecture_count_axis"), "%"},
                        {}};
        for (std::size_t i = 0; i < counts.size(); ++i) {
            const bool right = question.right && *question.right == static_cast<int>(i);
            table.rows.push_back(
                {fmt::format("{}  {}{}", i + 1, text_in(lecture_, question.choices[i], language_),
                             right ? " (" + phrases_("class_report_right") + ")" : ""),
                 std::to_string(counts[i]), percent(counts[i], all)});
        }
        section.blocks.emplace_back(std::move(table));
        if (all > 0)
            section.blocks.emplace_back(captioned(choices_figure(counts, phrases_("lecture_count_axis")),
                                                  section.title, counts_in_words(counts)));
    }

    void add_sliders(PageSection& section, int index, const Scene& scene) const {
        const int all = given_.room.answer_count(index + 1);
        const std::vector<ClassSlider> sliders =
            class_sliders(lecture_, scene, given_.room.slider_spreads(index + 1), language_);
        PageTable table{phrases_.filled("lecture_answers", all),
                        {phrases_("class_report_slider"), phrases_("class_report_quarter"),
                         phrases_("class_report_median"), phrases_("class_report_three_quarters")},
                        {}};
        for (const ClassSlider& slider : sliders) {
            table.rows.push_back({fmt::format("{} (0: {}, 1: {})", slider.ask, slider.low, slider.high),
                                  fmt::format("{:.2f}", slider.spread.quartile_1),
                                  fmt::format("{:.2f}", slider.spread.median),
                                  fmt::format("{:.2f}", slider.spread.quartile_3)});
        }
        if (all > 0) {
            section.blocks.emplace_back(std::move(table));
            section.blocks.emplace_back(captioned(sliders_figure(sliders, phrases_("lecture_count_axis")),
                                                  section.title, phrases_("class_report_slider")));
        }
        const auto setting = given_.settings.find(index);
        if (setting == given_.settings.end())
            return;
        const std::array<double, 3>& contrast = setting->second.contrast_from_predicted;
        section.blocks.emplace_back(PageParagraph{phrases_.filled(
            "class_report_found", fmt::format("{:+.1f}", 100.0 * contrast[0]),
            fmt::format("{:+.1f}", 100.0 * contrast[1]), fmt::format("{:+.1f}", 100.0 * contrast[2]))});
    }

    void add_reveal(PageSection& section, int index, const RevealScene& reveal) const {
        const auto found = given_.found.find(reveal.of);
        const Revealed revealed =
            given_.setup.reveal(index, found == given_.found.end() ? std::vector<double>{} : found->second);
        add_texts(section, text_in(lecture_, reveal.text, language_));
        add_texts(section, reveal_words(revealed, language_));
        section.blocks.emplace_back(
            PageFigure{section.title, reveal_figure(revealed, given_.setup.stage().observer())});
    }

    const SessionFolder& folder_;
    const GivenLecture& given_;
    const Lecture& lecture_;
    const std::string& language_;
    Phrases phrases_;
};

}  // namespace

GivenLecture given_lecture(const SessionFolder& folder) {
    if (!folder.header_ok || folder.state == SessionState::damaged)
        throw InputError(folder.faults);
    if (folder.header.kind != "lecture") {
        throw InputError(Fault{folder.folder, 0, 0, "", "is not what a lecture left behind",
                               "for sessions there is isoseam analyse report"});
    }
    LectureSetup setup = recorded_lecture(folder.header);
    LectureRoom room(setup.lecture());
    const int scenes = room.scene_count();
    GivenLecture given{std::move(setup), std::move(room), {}, {}, {}};
    given.shown.resize(static_cast<std::size_t>(scenes), false);
    for (const Event& event : folder.events) {
        if (event.kind == "person_joined") {
            // The answer was recorded because this person held a stream.
            given.room.join(ticket_of(event.data.at("person")));
            given.room.connected(ticket_of(event.data.at("person")), true);
        } else if (event.kind == "room_emptied") {
            given.room.send_all_away();
        } else if (event.kind == "scene_shown") {
            const int scene = event.data.at("scene");
            if (given.room.go(scene) && scene >= 1 && scene <= scenes)
                given.shown[static_cast<std::size_t>(scene - 1)] = true;
        } else if (event.kind == "answers_opened" || event.kind == "answers_closed") {
            given.room.open_answers(event.kind == "answers_opened");
        } else if (event.kind == "class_answer") {
            given.room.answer(ticket_of(event.data.at("person")), event.data.at("scene"),
                              answer_of(event.data));
        }
    }
    for (const SettingRecord& setting : folder.settings) {
        const int scene = scene_named(given.room.lecture(), setting.condition);
        if (scene < 0)
            continue;
        given.settings.insert_or_assign(scene, setting);
        given.found[scene] = given.room.medians(scene + 1);
    }
    return given;
}

PageDocument class_report(const SessionFolder& folder, const GivenLecture& lecture,
                          const std::string& language, const std::string& program) {
    return ClassReportWriter(folder, lecture, language).document(program);
}

}  // namespace isoseam
