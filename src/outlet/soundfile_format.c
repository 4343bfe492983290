/* SPDX-License-Identifier: MIT */
/* The formats that are written, by extension. Invariant: only those that the libsndfile at hand can
 * write are known. */
#include "soundfile_parts.h"

#include <stdio.h>
#include <string.h>

/* What the headers of a WAV file may need, at most, beside the samples and the points. */
#define WAV_HEADROOM 4096

enum { CHANNELS = 2, POINT_BYTES = 24 + 12 + sizeof(((struct hf_soundfile_point *)0)->label) };

/* RFC 6716, 2: the rates of Opus. ISO/IEC 11172-3 and 13818-3, with the usual lower half below:
 * those of MP3. */
static const int opus_rates[] = {8000, 12000, 16000, 24000, 48000, 0};
static const int mp3_rates[] = {8000, 11025, 12000, 16000, 22050, 24000, 32000, 44100, 48000, 0};

static const struct hf_soundfile_format formats[] = {
    {".wav", "as it sounds, with cue points and labels; over 4 GiB as RF64, without points", true,
     true, true, NULL, SF_FORMAT_WAV},
    {".flac", "as it sounds, in about half the room; 16 or 24 bits", true, false, false, NULL,
     SF_FORMAT_FLAC},
    {".ogg", "Ogg Vorbis: small, loses a little", false, false, false, NULL,
     SF_FORMAT_OGG | SF_FORMAT_VORBIS},
    {".opus", "Opus: small, loses a little; 8, 12, 16, 24 or 48 kHz", false, false, false,
     opus_rates, SF_FORMAT_OGG | SF_FORMAT_OPUS},
    {".mp3", "MP3: small, loses a little, for any player; up to 48 kHz", false, false, false,
     mp3_rates, SF_FORMAT_MPEG | SF_FORMAT_MPEG_LAYER_III},
};

/* Whether the library at hand writes it. */
static bool is_written(const struct hf_soundfile_format *format)
{
    SF_INFO info = {.samplerate = 48000, .channels = CHANNELS, .format = format->library};
    if (format->has_bits)
        info.format |= SF_FORMAT_PCM_16;
    return sf_format_check(&info) != 0;
}

const struct hf_soundfile_format *hf_soundfile_format(size_t index)
{
    for (size_t i = 0; i < sizeof formats / sizeof formats[0]; i++)
        if (is_written(&formats[i]) && index-- == 0)
            return &formats[i];
    return NULL;
}

/* Does `path` end so, in capitals or not? */
static bool ends_in(const char *path, const char *extension)
{
    size_t length = strlen(path), size = strlen(extension);
    if (length < size)
        return false;
    path += length - size;
    for (size_t i = 0; extension[i]; i++) {
        char c = path[i];
        if (c >= 'A' && c <= 'Z')
            c = (char)(c - 'A' + 'a');
        if (c != extension[i])
            return false;
    }
    return true;
}

const struct hf_soundfile_format *hf_soundfile_format_of(const char *path)
{
    const struct hf_soundfile_format *format;
    for (size_t i = 0; (format = hf_soundfile_format(i)); i++)
        if (ends_in(path, format->extension))
            return format;
    return NULL;
}

/* WAV counts its bytes in 32 bits; EBU Tech 3306 (RF64) is the same file with 64. */
static bool is_long(const struct hf_soundfile_form *form)
{
    size_t points =
        form->point_count < HF_SOUNDFILE_POINTS_MOST ? form->point_count : HF_SOUNDFILE_POINTS_MOST;
    int64_t headers = WAV_HEADROOM + (int64_t)points * POINT_BYTES;
    return form->frames > (INT64_C(0xffffffff) - headers) / (CHANNELS * (form->bits / 8));
}

bool hf_soundfile_holds_points(const char *path, const struct hf_soundfile_form *form)
{
    const struct hf_soundfile_format *format = hf_soundfile_format_of(path);
    return format && format->holds_points && !is_long(form);
}

int hf_soundfile_library_format(const struct hf_soundfile_format *format,
                                const struct hf_soundfile_form *form)
{
    if (!format->has_bits)
        return format->library;
    int subtype = form->bits == 16   ? SF_FORMAT_PCM_16
                  : form->bits == 24 ? SF_FORMAT_PCM_24
                                     : SF_FORMAT_FLOAT;
    bool rf64 = format->library == SF_FORMAT_WAV && is_long(form);
    return (rf64 ? SF_FORMAT_RF64 : format->library) | subtype;
}

static enum hf_status unknown(const char *path, struct hf_diag *diag)
{
    char known[80] = "";
    const struct hf_soundfile_format *format;
    for (size_t i = 0; (format = hf_soundfile_format(i)); i++) {
        size_t used = strlen(known);
        snprintf(known + used, sizeof known - used, "%s%s", i ? ", " : "", format->extension);
    }
    return hf_fail(diag, HF_E_USAGE, "cannot write %.200s: unknown extension (known: %s)", path,
                   known);
}

static enum hf_status check_bits(const struct hf_soundfile_format *format,
                                 const struct hf_soundfile_form *form, struct hf_diag *diag)
{
    if (!format->has_bits)
        return form->bits_asked ? hf_fail(diag, HF_E_USAGE, "a %s file has no bits: leave them out",
                                          format->extension)
                                : HF_OK;
    bool whole = form->bits == 16 || form->bits == 24;
    if (whole || (format->holds_float && form->bits == HF_SOUNDFILE_FLOAT))
        return HF_OK;
    return hf_fail(diag, HF_E_USAGE, "a %s file is written with 16%s bits, not %s",
                   format->extension, format->holds_float ? ", 24 or float" : " or 24",
                   form->bits == HF_SOUNDFILE_FLOAT ? "float" : "those");
}

static enum hf_status check_rate(const struct hf_soundfile_format *format, int rate_hz,
                                 struct hf_diag *diag)
{
    char known[120] = "";
    const int *rate = format->rates_hz;
    for (; rate && *rate; rate++) {
        size_t used = strlen(known);
        if (*rate == rate_hz)
            return HF_OK;
        snprintf(known + used, sizeof known - used, "%s%d", used ? ", " : "", *rate);
    }
    if (!rate)
        return HF_OK;
    return hf_fail(diag, HF_E_USAGE, "a %s file can't hold %d Hz (it holds %s)", format->extension,
                   rate_hz, known);
}

enum hf_status hf_soundfile_check(const char *path, const struct hf_soundfile_form *form,
                                  struct hf_diag *diag)
{
    const struct hf_soundfile_format *format = hf_soundfile_format_of(path);
    if (!format)
        return unknown(path, diag);
    enum hf_status status = check_bits(format, form, diag);
    return status == HF_OK ? check_rate(format, form->rate_hz, diag) : status;
}
