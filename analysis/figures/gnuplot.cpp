#include "analysis/figures/gnuplot.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <spawn.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cerrno>
#include <cstdio>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <vector>

#include "analysis/figures/figure_text.h"
#include "base/errors.h"

extern char** environ;  // POSIX declares it nowhere

namespace isoseam {
namespace {

namespace fs = std::filesystem;

[[noreturn]] void throw_no_room(int error) {
    throw MachineError(fmt::format("a picture cannot be drawn ({})", std::strerror(error)),
                       "free some memory and try again");
}

// A file in memory. What gnuplot reads and says goes through these, so that no pipe can fill up.
class MemoryFile {
  public:
    explicit MemoryFile(const std::string& content = "")
        : descriptor_(::memfd_create("isoseam", MFD_CLOEXEC)) {
        if (descriptor_ < 0)
            throw_no_room(errno);
        for (std::size_t written = 0; written < content.size();) {
            const ssize_t count = ::write(descriptor_, content.data() + written, content.size() - written);
            if (count < 0) {
                const int error = errno;
                ::close(descriptor_);
                throw_no_room(error);
            }
            written += static_cast<std::size_t>(count);
        }
        ::lseek(descriptor_, 0, SEEK_SET);
    }
    ~MemoryFile() { ::close(descriptor_); }
    MemoryFile(const MemoryFile&) = delete;
    MemoryFile& operator=(const MemoryFile&) = delete;

    int descriptor() const { return descriptor_; }

    std::string content() const {
        std::string content;
        std::array<char, 65536> buffer{};
        ssize_t count = 0;
        while ((count = ::pread(descriptor_, buffer.data(), buffer.size(),
                                static_cast<off_t>(content.size()))) > 0)
            content.append(buffer.data(), static_cast<std::size_t>(count));
        return content;
    }

  private:
    int descriptor_;
};

constexpr std::array kChanging{"LC_", "LANG", "TZ=", "GNUPLOT", "GNUTERM", "SOURCE_DATE_EPOCH"};

// This process's environment without what would change a picture.
std::vector<std::string> plain_environment() {
    std::vector<std::string> variables{"LC_ALL=C.UTF-8", "TZ=UTC"};
    for (char** variable = environ; *variable != nullptr; ++variable) {
        const std::string text = *variable;
        const bool changes_pictures = std::any_of(kChanging.begin(), kChanging.end(),
                                                  [&](const char* name) { return text.starts_with(name); });
        if (!changes_pictures)
            variables.push_back(text);
    }
    return variables;
}

std::vector<char*> pointers(std::vector<std::string>& words) {
    std::vector<char*> pointers;
    for (std::string& word : words)
        pointers.push_back(word.data());
    pointers.push_back(nullptr);
    return pointers;
}

struct Ended {
    int start_error = 0;  // why it could not be started
    int status = 0;       // of waitpid
};

// The program with these three as standard input, output and error, to its end.
Ended run(const std::string& program, const MemoryFile& input, const MemoryFile& output,
          const MemoryFile& complaint) {
    std::vector<std::string> words{program, "--default-settings", "-"};
    std::vector<std::string> environment = plain_environment();
    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_adddup2(&actions, input.descriptor(), STDIN_FILENO);
    posix_spawn_file_actions_adddup2(&actions, output.descriptor(), STDOUT_FILENO);
    posix_spawn_file_actions_adddup2(&actions, complaint.descriptor(), STDERR_FILENO);
    Ended ended;
    pid_t child = 0;
    ended.start_error = ::posix_spawnp(&child, program.c_str(), &actions, nullptr, pointers(words).data(),
                                       pointers(environment).data());
    posix_spawn_file_actions_destroy(&actions);
    if (ended.start_error != 0)
        return ended;
    while (::waitpid(child, &ended.status, 0) < 0 && errno == EINTR) {
    }
    return ended;
}

// The words of a complaint in one line.
std::string one_line(const std::string& text) {
    std::string line;
    for (const char c : clean_text(text)) {
        if (c != ' ' || (!line.empty() && line.back() != ' '))
            line += c;
    }
    return line.empty() || line.back() != ' ' ? line : line.substr(0, line.size() - 1);
}

std::string xml_text(const std::string& text) {
    std::string escaped;
    for (const char c : clean_text(text)) {
        if (c == '&')
            escaped += "&amp;";
        else if (c == '<')
            escaped += "&lt;";
        else if (c == '>')
            escaped += "&gt;";
        else
            escaped += c;
    }
    return escaped;
}

// Replaces what stands between `begin` and `end` after `from`. Returns where the replacement ends, npos if
// not found.
std::size_t replace_between(std::string& text, std::size_t from, const std::string& begin,
                            const std::string& end, const std::string& replacement) {
    const std::size_t open = text.find(begin, from);
    const std::size_t close = open == std::string::npos ? open : text.find(end, open + begin.size());
    if (close == std::string::npos)
        return std::string::npos;
    text.replace(open + begin.size(), close - open - begin.size(), replacement);
    return open + begin.size() + replacement.size();
}

// Title and description of the figure, and the names of its series, in the place of gnuplot's own; and a
// role, by which a screen reader takes the drawing for one picture.
void tell_in_words(std::string& svg, const Figure& figure) {
    if (const std::size_t root = svg.find("<svg "); root != std::string::npos)
        svg.insert(root + 5, "role=\"img\" ");
    std::size_t at = replace_between(svg, 0, "<title>", "</title>", xml_text(figure.title));
    if (at != std::string::npos)
        at = replace_between(svg, at, "<desc>", "</desc>", xml_text(figure.description));
    for (const std::string& name : names_of_drawn_series(figure)) {
        if (at == std::string::npos)
            return;
        at = replace_between(svg, at, "><title>", "</title>", xml_text(name));
    }
}

// Blanks over the date keep every offset of the file.
void take_date_out(std::string& pdf) {
    const std::size_t at = pdf.find("/CreationDate (");
    const std::size_t end = at == std::string::npos ? at : pdf.find(')', at);
    if (end != std::string::npos)
        std::fill(pdf.begin() + static_cast<std::ptrdiff_t>(at),
                  pdf.begin() + static_cast<std::ptrdiff_t>(end) + 1, ' ');
}

}  // namespace

PictureFormat picture_format(const std::string& path, const std::string& key) {
    std::string extension = fs::path(path).extension().string();
    std::transform(extension.begin(), extension.end(), extension.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    if (extension == ".svg")
        return PictureFormat::svg;
    if (extension == ".png")
        return PictureFormat::png;
    if (extension == ".pdf")
        return PictureFormat::pdf;
    throw InputError(Fault{"", 0, 0, key, fmt::format("'{}' does not name a kind of picture", path),
                           "let the file's name end in .svg, .png or .pdf"});
}

std::string drawn(const Figure& figure, PictureFormat format, const std::string& program) {
    const MemoryFile input(gnuplot_script(figure, format));
    const MemoryFile output;
    const MemoryFile complaint;
    const Ended ended = run(program, input, output, complaint);
    if (ended.start_error != 0)
        throw MachineError(fmt::format("'{}', which draws the pictures, cannot be started ({})", program,
                                       std::strerror(ended.start_error)),
                           "install gnuplot; Debian's package is gnuplot-nox");
    std::string picture = output.content();
    const bool is_well = WIFEXITED(ended.status) && WEXITSTATUS(ended.status) == 0;
    if (!is_well || picture.empty()) {
        const std::string words = one_line(complaint.content());
        const std::string end = WIFEXITED(ended.status) ? fmt::format("status {}", WEXITSTATUS(ended.status))
                                                        : fmt::format("signal {}", WTERMSIG(ended.status));
        throw MachineError(
            fmt::format("'{}' drew nothing ({}): {}", program, end,
                        words.empty() ? "it gave no reason" : words),
            "check that gnuplot 5.4 or later with its cairo terminals is installed (Debian: gnuplot-nox)");
    }
    if (format == PictureFormat::svg)
        tell_in_words(picture, figure);
    if (format == PictureFormat::pdf)
        take_date_out(picture);
    return picture;
}

}  // namespace isoseam
