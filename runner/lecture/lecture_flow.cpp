#include "runner/lecture/lecture_flow.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <utility>

#include "runner/lecture/lecture_pages.h"
#include "runner/lecture/lecture_record.h"
#include "runner/station/phrases.h"

namespace isoseam {
namespace {

// How long the projector waits before it looks at the desk and the answers again.
constexpr double kLookSeconds = 0.03;
// The number of frames that are shown between two such looks.
constexpr std::int64_t kFramesBetweenLooks = 2;
// The field comes to rest softly: from this long before the median it slows down.
constexpr double kSettleSeconds = 0.3;
// Nearer to the median than this, as a share of a slider's way, the field has arrived. That is far below a
// step that can be seen.
constexpr double kArrived = 1e-4;
// Answers on the projector are drawn again no sooner than after this time.
constexpr double kAnswersSeconds = 1.5;
// What could not be written is tried again after this time.
constexpr double kWriteAgainSeconds = 2.0;
// A disturbed screen is looked at again after this time.
constexpr double kMendingSeconds = 1.0;

class LectureFlow {
  public:
    LectureFlow(const LectureSetup& setup, const LectureView& view, LectureHall& hall, Station& station,
                SessionLog& log, const Report& report)
        : setup_(setup),
          view_(view),
          hall_(hall),
          station_(station),
          report_(report),
          pages_(setup, view.language, station.screen_size_px()),
          record_(setup, station, log) {}

    LectureOutcome run(const std::vector<std::string>& warnings) {
        station_.use_language(pages_.language());
        record_.started(warnings);
        station_.expect(ExpectSceneTurn{});
        enter(0);
        while (!over_) {
            const Action action = present();
            take(action);
            for (const DeskCommand& command : hall_.take_commands())
                wishes_.push_back(command);
            grant_wishes();
            write(hall_.take_happenings());
            refresh_answers();
            look_whether_mended();
        }
        leave_scene();
        write(hall_.take_happenings());
        const int people = hall_.with_room([](LectureRoom& room) {
            room.end();
            return room.joined();
        });
        write_all(seen_all_);
        return {seen_all_, record_.settings(), people};
    }

  private:
    int scene_count() const { return static_cast<int>(setup_.lecture().scenes.size()); }
    bool is_scene() const { return scene_ >= 1 && scene_ <= scene_count(); }
    const Scene& scene() const { return setup_.lecture().scenes[static_cast<std::size_t>(scene_ - 1)]; }
    bool is_steered() const { return is_scene() && std::holds_alternative<SteerScene>(scene().content); }

    // ---- What is on the projector ----

    // Shows what is due until somebody acts, or for a short while.
    Action present() {
        if (!is_steered() || covered_)
            return station_.wait(kLookSeconds);
        const std::vector<double> wanted =
            hall_.with_room([&](LectureRoom& room) { return room.medians(scene_); });
        if (positions_ == wanted) {
            // Nothing moves, so the field stands as it was shown last.
            moved_s_ = station_.now_s();
            progress_.pause();
            return station_.wait(kLookSeconds);
        }
        return station_.shows_frames() ? show_frames(wanted) : show_step(wanted);
    }

    Action show_frames(const std::vector<double>& wanted) {
        Presentation presentation;
        presentation.lights = [&](std::int64_t) { return lights_on_the_way(wanted); };
        presentation.end_frame = progress_.next_frame + kFramesBetweenLooks;
        const Action action = station_.show_presentation(presentation, progress_);
        hall_.tell_late_frames(late_before_ + static_cast<int>(progress_.frames.late));
        return std::holds_alternative<PresentationEnded>(action) ? NoAction{} : action;
    }

    Action show_step(const std::vector<double>& wanted) {
        const std::vector<double> before = positions_;
        const FieldLights lights = lights_on_the_way(wanted);
        if (positions_ != before)
            static_cast<void>(station_.show_field(lights));
        return station_.wait(kLookSeconds);
    }

    FieldLights lights_on_the_way(const std::vector<double>& wanted) {
        const double now_s = station_.now_s();
        positions_ = moved_towards(positions_, wanted, now_s - std::exchange(moved_s_, now_s));
        const auto arrived = [](double at, double to) { return std::abs(to - at) < kArrived; };
        if (std::equal(positions_.begin(), positions_.end(), wanted.begin(), arrived))
            positions_ = wanted;
        return lights();
    }

    // The lights of the scene. In a steered scene they are those where the sliders stand. When the screen
    // cannot show them, the field stays as it was, and the desk is told.
    FieldLights lights() {
        try {
            lights_.halves = setup_.lights(scene_ - 1, positions_);
        } catch (const InputError& error) {
            if (std::exchange(told_gamut_, true) == false)
                tell(fmt::format("the field stays where it is: {}", error.what()));
        }
        return lights_;
    }

    void enter(int scene_number) {
        scene_ = scene_number;
        seen_all_ = seen_all_ || scene_ >= scene_count();
        entered_s_ = station_.now_s();
        shown_answers_ = {};
        late_before_ += static_cast<int>(progress_.frames.late);
        progress_ = {};
        told_gamut_ = false;
        if (is_scene()) {
            record_.scene_shown(scene_, scene());
            lights_.caption = pages_.caption(scene_ - 1);
            positions_ = setup_.starts(scene_ - 1);
            // A scene that is shown again starts where the class had left it.
            if (is_steered())
                positions_ = hall_.with_room([&](LectureRoom& room) { return room.medians(scene_); });
            started_at_ = positions_;
        }
        hall_.tell_steered(is_steered());
        show();
    }

    void show() {
        covered_ = false;
        moved_s_ = station_.now_s();
        if (scene_ == 0) {
            station_.show_page(pages_.join(view_.join_address, hall_.secrets().room_code));
        } else if (!is_scene()) {
            station_.show_page(pages_.closing());
        } else if (shown_answers_.shown) {
            covered_ = true;
            station_.show_page(pages_.answers(scene_ - 1, shown_answers_.counts));
        } else if (setup_.shows_field(scene_ - 1)) {
            static_cast<void>(station_.show_field(lights()));
        } else {
            station_.show_page(pages_.scene(scene_ - 1, found_));
        }
    }

    // Answers on the projector, when the lecturer wants them there.
    void refresh_answers() {
        if (!is_scene() || !asks(scene()))
            return;
        const auto now = hall_.with_room([&](LectureRoom& room) {
            return ShownAnswers{room.answers_shown(), class_answers(room, scene_)};
        });
        const double now_s = station_.now_s();
        const bool toggled = now.shown != shown_answers_.shown;
        const bool others = now.shown && now.counts != shown_answers_.counts;
        if (!toggled && !(others && now_s - answers_s_ >= kAnswersSeconds))
            return;
        shown_answers_ = now;
        answers_s_ = now_s;
        show();
    }

    // ---- What the lecturer wants ----

    void take(const Action& action) {
        if (const auto* const moved = std::get_if<Moved>(&action)) {
            wishes_.push_back({moved->by > 0 ? DeskCommand::Kind::next : DeskCommand::Kind::back});
        } else if (std::holds_alternative<Escaped>(action)) {
            ask_whether_to_end();
        } else if (const auto* const interrupted = std::get_if<Interrupted>(&action)) {
            note_disturbance(interrupted->reason);
        }
    }

    // Grants wishes in their order. None is lost, but a new scene has to wait until its time comes.
    void grant_wishes() {
        while (!wishes_.empty() && !over_) {
            const DeskCommand& wish = wishes_.front();
            const bool changes_scene =
                wish.kind != DeskCommand::Kind::open_answers && wish.kind != DeskCommand::Kind::end;
            if (changes_scene && station_.now_s() - entered_s_ < kLeastSceneSeconds)
                return;
            grant(wish);
            wishes_.erase(wishes_.begin());
        }
    }

    void grant(const DeskCommand& wish) {
        using Kind = DeskCommand::Kind;
        switch (wish.kind) {
            case Kind::next:
                go(scene_ + 1);
                break;
            case Kind::back:
                go(scene_ - 1);
                break;
            case Kind::go:
                go(wish.scene);
                break;
            case Kind::open_answers:
                if (is_scene()) {
                    hall_.with_room([&](LectureRoom& room) { room.open_answers(wish.yes); });
                    record_.answers_opened(scene_, wish.yes);
                }
                break;
            case Kind::show_answers:
                entered_s_ = station_.now_s();
                hall_.with_room([&](LectureRoom& room) { room.show_answers(wish.yes); });
                break;
            case Kind::end:
                over_ = true;
                break;
        }
    }

    void go(int to) {
        if (to == scene_)
            return;
        leave_scene();
        if (hall_.with_room([&](LectureRoom& room) { return room.go(to); }))
            enter(to);
    }

    // Records where the class has steered to as its setting.
    void leave_scene() {
        if (!is_steered())
            return;
        const auto [answers, medians] = hall_.with_room(
            [&](LectureRoom& room) { return std::pair(room.answer_count(scene_), room.medians(scene_)); });
        if (answers == 0)
            return;
        found_[scene_ - 1] = medians;
        record_.setting(scene_ - 1, started_at_, medians, station_.now_s() - entered_s_);
    }

    // After an Escape a page asks first, so that a slip of the hand does not end a lecture.
    void ask_whether_to_end() {
        station_.expect(ExpectGoOn{});
        station_.show_page(pages_.end_question());
        Action action;
        while (!std::holds_alternative<Accepted>(action) && !std::holds_alternative<Escaped>(action))
            action = station_.wait(kLookSeconds);
        over_ = std::holds_alternative<Escaped>(action);
        station_.expect(ExpectSceneTurn{});
        if (!over_)
            show();
    }

    // The window is hidden or has lost the keyboard. Meanwhile the desk can still change scenes.
    void note_disturbance(const std::string& reason) {
        tell(fmt::format("the projector's picture: {}", reason));
        disturbed_ = true;
        looked_s_ = station_.now_s();
    }

    void look_whether_mended() {
        if (!disturbed_ || station_.now_s() - looked_s_ < kMendingSeconds)
            return;
        looked_s_ = station_.now_s();
        disturbed_ = station_.interruption().has_value();
        progress_.pause();
        show();
    }

    // ---- What is kept ----

    void write(std::vector<Happening> happenings) {
        for (Happening& happening : happenings)
            record_.add(std::move(happening));
        if (station_.now_s() < write_again_s_)
            return;
        const std::string failure = record_.write();
        if (failure.empty())
            return;
        write_again_s_ = station_.now_s() + kWriteAgainSeconds;
        if (std::exchange(told_failure_, failure) != failure)
            tell(fmt::format("answers cannot be saved at the moment, and are kept until they can: {}",
                             failure));
    }

    void write_all(bool finished) {
        record_.ended(finished);
        const std::string failure = record_.write();
        if (!failure.empty())
            throw MachineError(failure, "what people answered last is lost; what is in the folder is sound");
    }

    void tell(const std::string& warning) {
        report_(warning);
        hall_.warn(warning);
        record_.warning(warning);
    }

    struct ShownAnswers {
        bool shown = false;
        ClassAnswers counts{};
    };

    const LectureSetup& setup_;
    const LectureView& view_;
    LectureHall& hall_;
    Station& station_;
    const Report& report_;
    LecturePages pages_;
    LectureRecord record_;

    int scene_ = 0;  // 0: people join; one more than the number of scenes: the end
    bool over_ = false;
    bool seen_all_ = false;
    double entered_s_ = 0.0;
    std::vector<DeskCommand> wishes_;

    std::vector<double> positions_;   // where the sliders stand in the field that is shown
    std::vector<double> started_at_;  // where they stood when the scene came on
    double moved_s_ = 0.0;
    FieldLights lights_;
    bool covered_ = false;  // whether a page with answers covers the field
    bool told_gamut_ = false;
    PresentationProgress progress_;
    int late_before_ = 0;
    std::map<int, std::vector<double>> found_;  // by the index of the scene

    ShownAnswers shown_answers_;
    double answers_s_ = 0.0;
    bool disturbed_ = false;
    double looked_s_ = 0.0;
    double write_again_s_ = 0.0;
    std::string told_failure_;
};

}  // namespace

std::vector<double> moved_towards(std::vector<double> positions, const std::vector<double>& wanted,
                                  double seconds) {
    ISOSEAM_CHECK(positions.size() == wanted.size());
    const double furthest = kSteeringPerSecond * std::max(seconds, 0.0);
    for (std::size_t i = 0; i < positions.size(); ++i) {
        const double way = wanted[i] - positions[i];
        const double soft = std::abs(way) * std::min(1.0, std::max(seconds, 0.0) / kSettleSeconds);
        positions[i] += std::copysign(std::min(soft, furthest), way);
    }
    return positions;
}

LectureOutcome run_lecture(const LectureSetup& setup, const LectureView& view, LectureHall& hall,
                           Station& station, SessionLog& log, const std::vector<std::string>& warnings,
                           const Report& report) {
    return LectureFlow(setup, view, hall, station, log, report).run(warnings);
}

}  // namespace isoseam
