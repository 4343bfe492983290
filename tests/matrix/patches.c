/* SPDX-License-Identifier: MIT */
/* Prints the patches that ship as a C table with numbers in hexadecimal, so that a build for
 * another machine needs no library to read them. */
#include <stdio.h>
#include <string.h>

#include <holdfast/builtin.h>
#include <holdfast/patchfile.h>

static void list(const char *name, const double *values, int count)
{
    printf(".%s={", name);
    for (int i = 0; i < count; i++)
        printf("%a,", values[i]);
    printf("},\n");
}

static void print(const struct hf_patch *p)
{
    printf("{.kind=%d,.count=%d,.explicit_levels=%d,\n", (int)p->kind, p->count,
           p->explicit_levels);
    list("amplitude_db", p->amplitude_db, p->count);
    list("ratio", p->ratio, p->count);
    list("trim_db", p->trim_db, p->count);
    list("t60_scale", p->t60_scale, p->count);
    printf(".tilt_db_per_octave=%a,.even_db=%a,.soft_hz=%a,.formants=%d,.formant={",
           p->tilt_db_per_octave, p->even_db, p->soft_hz, p->formants);
    for (int i = 0; i < p->formants; i++)
        printf("{%a,%a,%a,0},", p->formant[i].centre_hz, p->formant[i].width_hz,
               p->formant[i].gain_db);
    printf("},\n.drift_db=%a,.drift_hz=%a,.copies=%d,.detune_hz=%a,.side_gain=%a,\n", p->drift_db,
           p->drift_hz, p->copies, p->detune_hz, p->side_gain);
    printf(".breath=%d,.breath_db=%a,.breath_low_hz=%a,.breath_high_hz=%a,\n", p->breath,
           p->breath_db, p->breath_low_hz, p->breath_high_hz);
    printf(".stiffness=%a,.t60_s=%a,.t60_at_hz=%a,.t60_exponent=%a,.damping_per_s=%a,\n",
           p->stiffness, p->t60_s, p->t60_at_hz, p->t60_exponent, p->damping_per_s);
    printf(".pluck_position=%a,.hard_hz=%a,.attack_ms=%a},\n", p->pluck_position, p->hard_hz,
           p->attack_ms);
}

int main(void)
{
    printf("#include <holdfast/patch.h>\nextern const struct hf_patch patches[];\n"
           "extern const int patch_count;\nconst struct hf_patch patches[] = {\n");
    int count = 0;
    for (const struct hf_builtin *b = hf_builtin_patches; b->name; b++, count++) {
        struct hf_patch patch;
        if (hf_patchfile_parse(b->text, strlen(b->text), b->name, &patch, NULL) != HF_OK)
            return 1;
        print(&patch);
    }
    printf("};\nconst int patch_count = %d;\n", count);
    return 0;
}
