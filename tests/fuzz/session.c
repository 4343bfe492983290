/* SPDX-License-Identifier: MIT */
/* Sessions by name: the file as it lies in the player's folder. */
#include "fuzz.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include "../../src/cli/saved.h"

static const char *file(void)
{
    static char path[256];
    char folder[200];
    if (path[0])
        return path;
    snprintf(folder, sizeof folder, "/tmp/holdfast-fuzz-%ld", (long)getpid());
    MUST(mkdir(folder, 0700) == 0);
    MUST(setenv("XDG_CONFIG_HOME", folder, 1) == 0);
    snprintf(path, sizeof path, "%s/holdfast", folder);
    MUST(mkdir(path, 0700) == 0);
    snprintf(path, sizeof path, "%s/holdfast/sessions", folder);
    MUST(mkdir(path, 0700) == 0);
    snprintf(path, sizeof path, "%s/holdfast/sessions/fuzz.ini", folder);
    return path;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct saved saved;
    struct hf_diag diag = {0};
    int descriptor = open(file(), O_WRONLY | O_CREAT | O_TRUNC, 0600);
    MUST(descriptor >= 0 && write(descriptor, data, size) == (ssize_t)size);
    close(descriptor);
    memset(&saved, 0, sizeof saved);
    enum hf_status status = saved_read("fuzz", &saved, &diag);
    if (status != HF_OK) {
        MUST(status == HF_E_DATA || status == HF_E_MEMORY);
        MUST(diag.message[0]);
        return 0;
    }
    MUST(saved.count >= 0 && saved.count <= SAVED_MOST);
    /* A tab is white space in a file; whether an option takes it is for its own reader. */
    for (int i = 0; i < saved.count; i++)
        MUST(saved.options[i].option &&
             hf_text_is_plain(saved.options[i].text, strlen(saved.options[i].text), "\t"));
    return 0;
}
