/* SPDX-License-Identifier: MIT */
/*
 * What the sine bank costs, beside another program that does the same work.
 *
 *   bank score WORK OPCODE SECONDS    the work as a csound document (poscil or oscili)
 *   bank check WORK FILE              whether the file holds the partials of the work, as ours does
 *   bank time WORK WIDTH SECONDS      processor seconds that we take for it
 *   bank limit WIDTH                  nanoseconds a partial-sample at the arithmetic limit, and
 * ours bank widths                       the widths that this machine runs
 *
 * W1: 144 partials (3 notes x 24 x 2 copies), stereo. W2: the same, a plucked note a second of 16
 * partials, three overlapping, a room of 16 lines, a limiter. W3: 1440 partials. At 48 kHz.
 */
#include <math.h>
#include <sndfile.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <holdfast/ceiling.h>
#include <holdfast/loudness.h>
#include <holdfast/patchfile.h>
#include <holdfast/room.h>
#include <holdfast/sine.h>
#include <holdfast/struck.h>

#include "measure/measure.h"

enum { RATE = 48000, NOTES = 3, MOST = 480, PLUCKS = 3 };

struct work {
    int partials; /* a note */
    bool whole;   /* with plucks, room and limiter */
};

static struct work work_of(const char *name)
{
    if (!strcmp(name, "W1") || !strcmp(name, "W2"))
        return (struct work){48, name[1] == '2'};
    if (!strcmp(name, "W3"))
        return (struct work){480, false};
    fprintf(stderr, "bank: no work %s\n", name);
    exit(64);
}

/* Copies lie 0.3 Hz apart; in W3 twenty of them. */
static double partial_hz(int note, int k)
{
    static const double f0[NOTES] = {130.8127826503, 164.8137784564, 207.6523487900};
    return f0[note] * (k % 24 + 1) + 0.3 * (k / 24);
}

static double partial_gain(int k)
{
    return 0.05 / (k % 24 + 1);
}

/* ---- csound ---------------------------------------------------------------------------------- */

static int score(const char *name, const char *opcode, double seconds)
{
    struct work work = work_of(name);
    printf("<CsoundSynthesizer>\n<CsInstruments>\nsr = %d\nksmps = 64\nnchnls = 2\n0dbfs = 1\n",
           RATE);
    printf("gal init 0\ngar init 0\n");
    for (int note = 0; note < NOTES; note++) {
        double angle = (0.35 * (note - 1) + 1) * acos(-1) / 4;
        printf("instr %d\n", note + 1);
        for (int k = 0; k < work.partials; k++)
            printf("a%d %s %.9f, %.9f, 1\n", k, opcode, partial_gain(k), partial_hz(note, k));
        printf("asum = a0");
        for (int k = 1; k < work.partials; k++)
            printf("+a%d", k);
        printf("\ngal = gal + asum * %.9f\ngar = gar + asum * %.9f\nendin\n", cos(angle),
               sin(angle));
    }
    /* Cheaper than ours: a plucked string by a delay line, two rooms of eight lines. */
    printf("instr 4\na1 pluck 0.1, p4, p4, 0, 1\na2 linseg 1, 2.8, 1, 0.2, 0\n"
           "gal = gal + a1 * a2\ngar = gar + a1 * a2\nendin\ninstr 5\n");
    if (work.whole)
        printf("al, ar reverbsc gal * 0.1, gar * 0.1, 0.85, 8000\n"
               "al2, ar2 reverbsc gar * 0.1, gal * 0.1, 0.83, 8000\n"
               "gal = gal + al + al2\ngar = gar + ar + ar2\n"
               "gal compress gal, gal, 0, 90, 90, 100, 0.0015, 0.17, 0.0015\n"
               "gar compress gar, gar, 0, 90, 90, 100, 0.0015, 0.17, 0.0015\n");
    printf(
        "outs gal, gar\ngal = 0\ngar = 0\nendin\n</CsInstruments>\n<CsScore>\nf1 0 16384 10 1\n");
    for (int note = 0; note < NOTES; note++)
        printf("i%d 0 %.3f\n", note + 1, seconds);
    for (int at = 0; work.whole && at + 3 <= seconds; at++)
        printf("i4 %d 3 %.3f\n", at, 293.665 + 20 * (at % 7));
    printf("i5 0 %.3f\n</CsScore>\n</CsoundSynthesizer>\n", seconds);
    return 0;
}

/* ---- ours ------------------------------------------------------------------------------------ */

static struct hf_vector_partial bank[NOTES][MOST];
static struct hf_room room;
static struct hf_ceiling ceiling;
static struct hf_struck pluck[PLUCKS];
static struct hf_patch nylon;

static void start(const struct work *work)
{
    const char *text = hf_patchfile_find_builtin("plucked-nylon");
    if (!text || hf_patchfile_parse(text, strlen(text), "", &nylon, NULL) != HF_OK)
        exit(1);
    for (int note = 0; note < NOTES; note++) {
        for (int k = 0; k < work->partials; k++) {
            double step = partial_hz(note, k) / RATE * 0x1p32;
            bank[note][k] =
                (struct hf_vector_partial){0, (uint32_t)(step + 0.5), (float)partial_gain(k), 0};
        }
    }
    memset(pluck, 0, sizeof pluck);
    hf_room_init(&room, RATE);
    hf_ceiling_init(&ceiling, RATE, (float)hf_gain(HF_CEILING_INNER_DB));
}

static void add(const float *note, float left, float right, float side[2][HF_CHUNK])
{
    for (int i = 0; i < HF_CHUNK; i++) {
        side[0][i] += left * note[i];
        side[1][i] += right * note[i];
    }
}

static void rest_of_w2(int64_t at, float side[2][HF_CHUNK])
{
    float note[HF_CHUNK], wet[2][HF_CHUNK];
    if (at % RATE < HF_CHUNK) {
        int second = (int)(at / RATE);
        hf_struck_init(&pluck[second % PLUCKS], &nylon, 62 + second % 7, 0, 440000, RATE, 0.3);
    }
    for (int i = 0; i < PLUCKS && pluck[i].vector; i++) {
        hf_struck_render(&pluck[i], 0, note);
        add(note, 0.7f, 0.7f, side);
    }
    for (int i = 0; i < HF_CHUNK; i++) {
        wet[0][i] = 0.1f * side[0][i];
        wet[1][i] = 0.1f * side[1][i];
    }
    hf_room_render(&room, wet[0], wet[1], wet[0], wet[1]);
    for (int s = 0; s < 2; s++)
        for (int i = 0; i < HF_CHUNK; i++)
            side[s][i] += wet[s][i];
    hf_ceiling_render(&ceiling, side[0], side[1], HF_CHUNK);
}

static void render(const struct work *work, int64_t at, float side[2][HF_CHUNK])
{
    memset(side, 0, 2 * sizeof side[0]);
    for (int note = 0; note < NOTES; note++) {
        float out[HF_CHUNK] = {0};
        hf_vector_best()->ramp(bank[note], work->partials, out);
        for (int k = 0; k < work->partials; k++)
            bank[note][k].phase += bank[note][k].step * HF_CHUNK;
        double angle = (0.35 * (note - 1) + 1) * acos(-1) / 4;
        add(out, (float)cos(angle), (float)sin(angle), side);
    }
    if (work->whole)
        rest_of_w2(at, side);
}

static double cpu_seconds(void)
{
    struct timespec now;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec + (double)now.tv_nsec * 1e-9;
}

static void use_width(const char *name)
{
    for (const struct hf_vector *const *v = hf_vector_all(); *v; v++)
        if (!strcmp((*v)->name, name) && hf_vector_runs(*v)) {
            hf_vector_use(*v);
            return;
        }
    fprintf(stderr, "bank: no width %s here\n", name);
    exit(64);
}

static int time_work(const char *name, const char *width, double seconds)
{
    struct work work = work_of(name);
    float side[2][HF_CHUNK], sum = 0;
    use_width(width);
    double began = cpu_seconds();
    start(&work);
    for (int64_t at = 0; at < (int64_t)(seconds * RATE); at += HF_CHUNK) {
        render(&work, at, side);
        sum += side[0][0];
    }
    printf("%.4f\n", cpu_seconds() - began);
    return sum > 1e9f;
}

/* ---- the same partials? ---------------------------------------------------------------------- */

enum { LOOK = 1 << 19 };

static double band(const double *power, double hz)
{
    return measure_band(power, LOOK, RATE, hz - 2, hz + 2.3);
}

/* Both sides summed: copies lie closer than a spectrum shows, so harmonics are compared. */
static int check(const char *name, const char *path)
{
    struct work work = work_of(name);
    SF_INFO info = {0};
    SNDFILE *file = sf_open(path, SFM_READ, &info);
    float *theirs = malloc(2 * LOOK * sizeof *theirs), *ours = malloc(LOOK * sizeof *ours);
    double *power[2] = {malloc((LOOK / 2 + 1) * sizeof(double)),
                        malloc((LOOK / 2 + 1) * sizeof(double))};
    double worst = 0;
    if (!file || info.channels != 2 || sf_readf_float(file, theirs, LOOK) != LOOK)
        return 1;
    sf_close(file);
    work.whole = false;
    start(&work);
    for (int64_t at = 0; at < LOOK; at += HF_CHUNK) {
        float side[2][HF_CHUNK];
        render(&work, at, side);
        for (int i = 0; i < HF_CHUNK; i++)
            ours[at + i] = side[0][i] + side[1][i];
    }
    for (long i = 0; i < LOOK; i++)
        theirs[i] = theirs[2 * i] + theirs[2 * i + 1];
    measure_power_spectrum(ours, LOOK, power[0]);
    measure_power_spectrum(theirs, LOOK, power[1]);
    for (int note = 0; note < NOTES; note++)
        for (int k = 0; k < 24; k++) {
            double hz = partial_hz(note, k);
            worst = fmax(worst, fabs(10 * log10(band(power[0], hz) / band(power[1], hz))));
        }
    printf("%.3f\n", worst);
    free(theirs), free(ours), free(power[0]), free(power[1]);
    return worst > 0.1;
}

/* ---- the limit ------------------------------------------------------------------------------- */

#if defined(__x86_64__) || defined(__i386__)
typedef float four __attribute__((vector_size(16)));
typedef float eight __attribute__((vector_size(32)));
typedef float sixteen __attribute__((vector_size(64)));

/* Six independent products and six sums: as many operations as the machine can do at all. */
#define OPERATIONS(name, type, attribute)                                                          \
    attribute static double name(void)                                                             \
    {                                                                                              \
        type product[6], sum[6], m = 1.0000001f - (type){0}, o = 1e-9f - (type){0};                \
        double best = 1e9;                                                                         \
        for (int k = 0; k < 6; k++)                                                                \
            product[k] = sum[k] = m + (float)k;                                                    \
        for (int again = 0; again < 5; again++) {                                                  \
            type p0 = product[0], p1 = product[1], p2 = product[2], p3 = product[3];               \
            type p4 = product[4], p5 = product[5], s0 = sum[0], s1 = sum[1], s2 = sum[2];          \
            type s3 = sum[3], s4 = sum[4], s5 = sum[5];                                            \
            double began = cpu_seconds();                                                          \
            for (int i = 0; i < 2000000; i++) {                                                    \
                p0 *= m, s0 += o, p1 *= m, s1 += o, p2 *= m, s2 += o;                              \
                p3 *= m, s3 += o, p4 *= m, s4 += o, p5 *= m, s5 += o;                              \
                __asm__ volatile("" : "+x"(p0), "+x"(p1), "+x"(p2), "+x"(s0), "+x"(s1), "+x"(s2)); \
                __asm__ volatile("" : "+x"(p3), "+x"(p4), "+x"(p5), "+x"(s3), "+x"(s4), "+x"(s5)); \
            }                                                                                      \
            best = fmin(best, (cpu_seconds() - began) / 2e6 / 12 * 1e9);                           \
        }                                                                                          \
        return best;                                                                               \
    }
OPERATIONS(plain_operation, four, )
OPERATIONS(avx2_operation, eight, __attribute__((target("avx2"))))
OPERATIONS(avx512_operation, sixteen, __attribute__((target("avx512f"))))

/* Counted in vector_body.h: phase 1, folding 4 (where there is an instruction for the magnitude,
 * 2), conversion and scale 2, sine 12, gain 2, product and sum 2. Loads and stores are not counted.
 */
static int limit(const char *width)
{
    bool plain = !strcmp(width, "plain");
    int operations = plain ? 23 : 21;
    double each = plain                    ? plain_operation() / 4
                  : !strcmp(width, "avx2") ? avx2_operation() / 8
                                           : avx512_operation() / 16;
    struct work work = work_of("W1");
    float out[HF_CHUNK] = {0};
    double best = 1e9;
    use_width(width);
    start(&work);
    for (int again = 0; again < 9; again++) {
        double began = cpu_seconds();
        for (int i = 0; i < 4000; i++)
            hf_vector_best()->ramp(bank[0], 48, out);
        best = fmin(best, (cpu_seconds() - began) / 4000 / 48 / HF_CHUNK * 1e9);
    }
    printf("%d %.4f %.4f %.2f\n", operations, each * operations, best, best / (each * operations));
    return 0;
}
#else
static int limit(const char *width)
{
    printf("0 0 0 0\n");
    return width == NULL;
}
#endif

static int widths(void)
{
    for (const struct hf_vector *const *v = hf_vector_all(); *v; v++)
        if (hf_vector_runs(*v))
            printf("%s\n", (*v)->name);
    return 0;
}

int main(int argc, char **argv)
{
    const char *verb = argc > 1 ? argv[1] : "";
    if (!strcmp(verb, "score") && argc == 5)
        return score(argv[2], argv[3], strtod(argv[4], NULL));
    if (!strcmp(verb, "check") && argc == 4)
        return check(argv[2], argv[3]);
    if (!strcmp(verb, "time") && argc == 5)
        return time_work(argv[2], argv[3], strtod(argv[4], NULL));
    if (!strcmp(verb, "limit") && argc == 3)
        return limit(argv[2]);
    if (!strcmp(verb, "widths"))
        return widths();
    fprintf(stderr, "usage: bank score|check|time|limit|widths ...\n");
    return 64;
}
