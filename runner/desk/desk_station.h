#pragma once
// A station beside which an experimenter sits at a desk. It pauses and ends the session when the desk asks
// for it, and hands the desk's notes to the record. Everything else goes to the station that it stands for.

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "runner/desk/session_desk.h"
#include "runner/station/station.h"

namespace isoseam {

class DeskStation : public Station {
  public:
    // Puts one note into the record, on the session's thread. After a MachineError the note is tried again
    // later.
    using WriteNote = std::function<void(const std::string& text)>;
    // The arguments outlive the station.
    DeskStation(Station& station, SessionDesk& desk, WriteNote write_note)
        : station_(station), desk_(desk), write_note_(std::move(write_note)) {}

    std::vector<SourceRecord> sources() const override { return station_.sources(); }
    std::vector<ScreenRecord> screens() const override { return station_.screens(); }
    FrameDepth depth(int source) const override { return station_.depth(source); }
    void show_page(const Instruction& page) override { station_.show_page(page); }
    std::optional<std::array<int, 2>> screen_size_px() const override { return station_.screen_size_px(); }
    void show_adaptation(double left) override { station_.show_adaptation(left); }
    double show_field(const FieldLights& lights) override { return station_.show_field(lights); }
    Action wait(double timeout_s) override;
    Action show_presentation(const Presentation& presentation, PresentationProgress& progress) override;
    std::optional<std::string> interruption() override;
    double now_s() override { return station_.now_s(); }
    void forget_presses() override { station_.forget_presses(); }
    void use_language(const std::string& language) override { station_.use_language(language); }
    bool shows_frames() const override { return station_.shows_frames(); }
    void expect(const Expected& expected) override { station_.expect(expected); }
    std::vector<KeyHint> key_hints(const Expected& expected) const override {
        return station_.key_hints(expected);
    }
    int take_ignored_presses() override { return station_.take_ignored_presses(); }
    void sound(Sound sound) override { station_.sound(sound); }

  private:
    // The action that the desk asks for now, if it asks for one.
    std::optional<Action> asked();
    void write_notes();

    Station& station_;
    SessionDesk& desk_;
    WriteNote write_note_;
    bool pause_told_ = false;
};

}  // namespace isoseam
