/* SPDX-License-Identifier: MIT */
/* Lists of notes, and names of classes. What is taken and written again reads as the same notes. */
#include "fuzz.h"

#include <holdfast/notes.h>
#include <holdfast/setclass.h>

static void read_again(const struct hf_notes *notes, enum hf_names names)
{
    char text[HF_NOTES_TEXT];
    struct hf_notes again;
    struct hf_diag diag = {0};
    hf_notes_format(notes, names, text);
    MUST(hf_text_is_plain(text, strlen(text), ""));
    if (strstr(text, "-2"))
        return; /* B# under C-1 can be heard, not typed */
    struct hf_notes_how how = {.german = names == HF_NAMES_GERMAN};
    MUST(hf_notes_parse(text, &how, &again, &diag) == HF_OK);
    MUST(again.set == notes->set && again.count == notes->count);
    for (int i = 0; i < again.count && hf_notes_placed(notes); i++)
        MUST(again.note[i].midi == notes->note[i].midi);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *text = string_of(data, size);
    const struct hf_setclass *class = NULL;
    for (int way = 0; way < 4; way++) {
        struct hf_notes notes;
        struct hf_diag diag = {0};
        struct hf_notes_how how = {.as_written = way & 1, .german = way >> 1};
        enum hf_status status = hf_notes_parse(text, &how, &notes, &diag);
        if (status != HF_OK) {
            must_fail_well(status, HF_E_USAGE, &diag);
            continue;
        }
        MUST(notes.count <= HF_NOTES_MOST);
        for (int i = 0; i < notes.count; i++)
            MUST(hf_pcset_has(notes.set, notes.note[i].pc));
        read_again(&notes, HF_NAMES_SIMPLE);
        read_again(&notes, HF_NAMES_SHARPS);
        read_again(&notes, HF_NAMES_GERMAN);
        if (hf_notes_place(&notes, &diag) == HF_OK)
            MUST(hf_notes_placed(&notes));
    }
    struct hf_diag diag = {0};
    enum hf_status status = hf_setclass_parse(text, &class, &diag);
    if (status != HF_OK)
        must_fail_well(status, HF_E_USAGE, &diag);
    else
        MUST(class);
    free(text);
    return 0;
}
