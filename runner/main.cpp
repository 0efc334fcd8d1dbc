#include <malloc.h>

#include "runner/program.h"

int main(int argc, char** argv) {
    // Folder after folder is read and let go. What the heap has it keeps, instead of fetching the same pages
    // from the kernel again for each.
    constexpr int kMiB = 1 << 20;
    mallopt(M_MMAP_THRESHOLD, 32 * kMiB);
    mallopt(M_TRIM_THRESHOLD, 128 * kMiB);
    return isoseam::run_command_line(argc, argv);
}
