/* SPDX-License-Identifier: MIT */
/* Invariants: every file has had the same frames; after the first failure nothing more is written.
 * The last chunk is kept back, since the session may end within it. */
#include <holdfast/stems.h>

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>

enum { PATH_BYTES = 4096, CHANNELS = 2 };

static const char *const names[HF_STEMS] = {[HF_STEM_HELD] = "held",
                                            [HF_STEM_ADDED] = "added",
                                            [HF_STEM_TICK] = "tick",
                                            [HF_STEM_SPEECH] = "speech"};

struct hf_stems {
    struct hf_soundfile *files[HF_STEMS];
    bool sounds[HF_STEMS];
    int64_t frames, most;                      /* written; the most there can be */
    float last[HF_STEMS][HF_CHUNK * CHANNELS]; /* the chunk that is kept back */
    bool has_last;
    enum hf_status failed;
    struct hf_diag why;
};

const char *hf_stem_name(enum hf_stem stem)
{
    return names[stem];
}

static enum hf_status open_one(struct hf_stems *s, int stem, const char *directory,
                               const struct hf_soundfile_form *form, struct hf_diag *diag)
{
    char path[PATH_BYTES];
    int length = snprintf(path, sizeof path, "%s/%s.wav", directory, names[stem]);
    if (length < 0 || length >= PATH_BYTES)
        return hf_fail(diag, HF_E_CREATE, "the name of the directory is too long");
    return hf_soundfile_open(&s->files[stem], path, form, diag);
}

enum hf_status hf_stems_open(struct hf_stems **out, const char *directory,
                             const struct hf_soundfile_form *form, struct hf_diag *diag)
{
    struct hf_soundfile_form floats = *form;
    struct hf_stems *s = calloc(1, sizeof *s);
    enum hf_status status = HF_OK;
    if (!s)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    floats.bits = HF_SOUNDFILE_FLOAT;
    s->most = form->frames;
    for (int stem = 0; stem < HF_STEMS && status == HF_OK; stem++)
        status = open_one(s, stem, directory, &floats, diag);
    if (status == HF_OK)
        *out = s;
    else
        hf_stems_discard(s);
    return status;
}

static void write_last(struct hf_stems *s, int64_t frames)
{
    for (int stem = 0; stem < HF_STEMS && s->failed == HF_OK; stem++)
        s->failed = hf_soundfile_write(s->files[stem], s->last[stem], (long)frames, &s->why);
    s->frames += frames;
    s->has_last = false;
}

static void hear(void *self, const struct hf_bus stems[HF_STEMS], const struct hf_bus *sum)
{
    struct hf_stems *s = self;
    (void)sum;
    if (s->has_last && s->frames + HF_CHUNK <= s->most)
        write_last(s, HF_CHUNK);
    for (int stem = 0; stem < HF_STEMS; stem++)
        for (int i = 0; i < HF_CHUNK; i++) {
            s->last[stem][CHANNELS * i] = stems[stem].left[i];
            s->last[stem][CHANNELS * i + 1] = stems[stem].right[i];
            s->sounds[stem] |= stems[stem].left[i] != 0 || stems[stem].right[i] != 0;
        }
    s->has_last = true;
}

struct hf_engine_tap hf_stems_tap(struct hf_stems *stems)
{
    return (struct hf_engine_tap){hear, stems};
}

enum hf_status hf_stems_commit(struct hf_stems *s, int64_t frames, struct hf_diag *diag)
{
    if (s->has_last && frames > s->frames)
        write_last(s, frames - s->frames < HF_CHUNK ? frames - s->frames : HF_CHUNK);
    enum hf_status status = s->failed;
    if (status != HF_OK && diag)
        *diag = s->why;
    if (status == HF_OK && s->frames != frames)
        status = hf_fail(diag, HF_E_BUG, "the stems are not as long as the mix");
    for (int stem = 0; stem < HF_STEMS && status == HF_OK; stem++) {
        struct hf_soundfile *file = s->files[stem];
        if (!s->sounds[stem])
            continue;
        s->files[stem] = NULL; /* the commit frees it in every case */
        status = hf_soundfile_commit(file, diag);
    }
    hf_stems_discard(s);
    return status;
}

void hf_stems_discard(struct hf_stems *s)
{
    if (!s)
        return;
    for (int stem = 0; stem < HF_STEMS; stem++)
        hf_soundfile_discard(s->files[stem]);
    free(s);
}
