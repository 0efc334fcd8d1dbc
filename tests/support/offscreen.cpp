#include "support/offscreen.h"

#include <EGL/egl.h>
#include <EGL/eglext.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>

namespace isoseam::test {

struct OffscreenContext::Egl {
    EGLDisplay display = EGL_NO_DISPLAY;
    EGLContext context = EGL_NO_CONTEXT;
    EGLSurface surface = EGL_NO_SURFACE;

    ~Egl() {
        if (display == EGL_NO_DISPLAY)
            return;
        eglMakeCurrent(display, EGL_NO_SURFACE, EGL_NO_SURFACE, EGL_NO_CONTEXT);
        if (surface != EGL_NO_SURFACE)
            eglDestroySurface(display, surface);
        if (context != EGL_NO_CONTEXT)
            eglDestroyContext(display, context);
        eglTerminate(display);
    }

    bool open(EGLDisplay on) {
        if (on == EGL_NO_DISPLAY || eglInitialize(on, nullptr, nullptr) != EGL_TRUE)
            return false;
        display = on;
        const std::array<EGLint, 5> wanted{EGL_SURFACE_TYPE, EGL_PBUFFER_BIT, EGL_RENDERABLE_TYPE,
                                           EGL_OPENGL_BIT, EGL_NONE};
        const std::array<EGLint, 7> version{EGL_CONTEXT_MAJOR_VERSION,
                                            3,
                                            EGL_CONTEXT_MINOR_VERSION,
                                            3,
                                            EGL_CONTEXT_OPENGL_PROFILE_MASK,
                                            EGL_CONTEXT_OPENGL_CORE_PROFILE_BIT,
                                            EGL_NONE};
        const std::array<EGLint, 5> small{EGL_WIDTH, 16, EGL_HEIGHT, 16, EGL_NONE};
        EGLConfig config = nullptr;
        EGLint count = 0;
        if (eglBindAPI(EGL_OPENGL_API) != EGL_TRUE ||
            eglChooseConfig(display, wanted.data(), &config, 1, &count) != EGL_TRUE || count < 1)
            return false;
        context = eglCreateContext(display, config, EGL_NO_CONTEXT, version.data());
        surface = eglCreatePbufferSurface(display, config, small.data());
        return context != EGL_NO_CONTEXT && surface != EGL_NO_SURFACE &&
               eglMakeCurrent(display, surface, surface, context) == EGL_TRUE;
    }
};

namespace {

std::vector<EGLDisplay> displays() {
    const auto query_devices =
        reinterpret_cast<PFNEGLQUERYDEVICESEXTPROC>(eglGetProcAddress("eglQueryDevicesEXT"));
    const auto display_of =
        reinterpret_cast<PFNEGLGETPLATFORMDISPLAYEXTPROC>(eglGetProcAddress("eglGetPlatformDisplayEXT"));
    std::vector<EGLDisplay> all;
    std::array<EGLDeviceEXT, 16> devices{};
    EGLint count = 0;
    if (query_devices != nullptr && display_of != nullptr &&
        query_devices(static_cast<EGLint>(devices.size()), devices.data(), &count) == EGL_TRUE) {
        for (EGLint i = 0; i < count; ++i)
            all.push_back(display_of(EGL_PLATFORM_DEVICE_EXT, devices[static_cast<std::size_t>(i)], nullptr));
    }
    all.push_back(eglGetDisplay(EGL_DEFAULT_DISPLAY));
    return all;
}

std::string words(GLenum name) {
    const GLubyte* text = glGetString(name);
    return text == nullptr ? "" : reinterpret_cast<const char*>(text);
}

}  // namespace

OffscreenContext::OffscreenContext() {
    for (const EGLDisplay display : displays()) {
        egl_ = std::make_unique<Egl>();
        if (egl_->open(display))
            break;
        egl_.reset();
    }
    if (egl_ == nullptr)
        throw std::runtime_error("EGL gives no OpenGL 3.3 core context");
    glewExperimental = GL_TRUE;
    const GLenum result = glewInit();
    if (!(result == GLEW_OK || result == GLEW_ERROR_NO_GLX_DISPLAY) || glTexBuffer == nullptr)
        throw std::runtime_error("OpenGL's functions cannot be loaded");
    while (glGetError() != GL_NO_ERROR) {
    }
    glDisable(GL_DITHER);
    glDisable(GL_BLEND);
    glDisable(GL_FRAMEBUFFER_SRGB);
}

OffscreenContext::~OffscreenContext() = default;

std::string OffscreenContext::renderer() const {
    return words(GL_RENDERER) + ", OpenGL " + words(GL_VERSION);
}

OffscreenBuffer::OffscreenBuffer(int width_px, int height_px, int bits)
    : width_px_(width_px), height_px_(height_px), bits_(bits) {
    glGenTextures(1, &texture_);
    glActiveTexture(GL_TEXTURE0);
    glBindTexture(GL_TEXTURE_2D, texture_);
    const GLint format = bits == 8 ? GL_RGBA8 : bits == 10 ? GL_RGB10_A2 : GL_RGBA32F;
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MIN_FILTER, GL_NEAREST);
    glTexImage2D(GL_TEXTURE_2D, 0, format, width_px, height_px, 0, GL_RGBA, GL_FLOAT, nullptr);
    glGenFramebuffers(1, &frame_buffer_);
    bind();
    glFramebufferTexture2D(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_TEXTURE_2D, texture_, 0);
    if (glCheckFramebufferStatus(GL_FRAMEBUFFER) != GL_FRAMEBUFFER_COMPLETE)
        throw std::runtime_error("no frame buffer of " + std::to_string(bits) + " bits");
}

OffscreenBuffer::~OffscreenBuffer() {
    glDeleteFramebuffers(1, &frame_buffer_);
    glDeleteTextures(1, &texture_);
}

void OffscreenBuffer::bind() const {
    glBindFramebuffer(GL_FRAMEBUFFER, frame_buffer_);
    glViewport(0, 0, width_px_, height_px_);
}

std::vector<float> OffscreenBuffer::values() const {
    const std::size_t row_size = 3 * static_cast<std::size_t>(width_px_);
    const auto rows = static_cast<std::size_t>(height_px_);
    std::vector<float> upside_down(row_size * rows);
    glBindFramebuffer(GL_FRAMEBUFFER, frame_buffer_);
    glPixelStorei(GL_PACK_ALIGNMENT, 1);
    glReadPixels(0, 0, width_px_, height_px_, GL_RGB, GL_FLOAT, upside_down.data());
    std::vector<float> values;
    values.reserve(upside_down.size());
    for (std::size_t row = rows; row-- > 0;) {
        const auto start = upside_down.begin() + static_cast<std::ptrdiff_t>(row * row_size);
        values.insert(values.end(), start, start + static_cast<std::ptrdiff_t>(row_size));
    }
    return values;
}

CodeImage OffscreenBuffer::codes() const {
    const auto full = static_cast<float>((1 << bits_) - 1);
    CodeImage image{width_px_, height_px_, bits_, {}};
    for (const float value : values())
        image.codes.push_back(static_cast<std::uint16_t>(std::lround(value * full)));
    return image;
}

}  // namespace isoseam::test
