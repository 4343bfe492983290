/* SPDX-License-Identifier: MIT */
/* outputs: what `--output` can name. Invariant: no output is an answer, not a failure. */
#include <stdio.h>

#include <holdfast/cli.h>
#include <holdfast/live.h>
#include <holdfast/paragraph.h>
#include <holdfast/query.h>
#include <holdfast/version.h>

enum { TAKE_JSON = 1 };

const struct hf_cli_option hf_cli_outputs_options[] = {
    {"json", 0, NULL, "print JSON", TAKE_JSON},
    {NULL, 0, NULL, NULL, 0},
};

static enum hf_status take(void *self, int code, const char *text, struct hf_diag *diag)
{
    (void)code, (void)text, (void)diag;
    *(bool *)self = true;
    return HF_OK;
}

/* The name stays on one line, however long, since --output takes it as it stands. */
static void print_output(const struct hf_live_output *output)
{
    struct hf_paragraph p;
    printf("%s: %s\n", output->host, output->name);
    hf_paragraph_hang(&p, 4, 4);
    hf_paragraph_add(&p, "%s%d channel%s, %d Hz, latency %.0f ms; opens at",
                     output->is_default ? "the system's own; " : "", output->channels,
                     output->channels == 1 ? "" : "s", output->rate_hz, output->latency_s * 1000);
    for (int r = 0; r < output->rate_count; r++)
        hf_paragraph_add(&p, "%s %d", r ? "," : "", output->rates_hz[r]);
    hf_paragraph_add(&p, "%s", output->rate_count ? " Hz" : " none of the common rates");
    hf_paragraph_end(&p);
}

static void print_text(const struct hf_live_output *outputs, int count)
{
    if (!count) {
        printf("No sound output was found. A session can still be made as a sound file:\n    ");
        hf_cli_print_file(hf_cli_called());
        printf(" render -o FILE.wav\n");
    }
    for (int i = 0; i < count; i++)
        print_output(&outputs[i]);
}

static json_t *output_object(const struct hf_live_output *output)
{
    double latency_ms = (double)(long)(output->latency_s * 1e6 + 0.5) / 1000;
    return json_pack(
        "{s:s,s:s,s:b,s:i,s:i,s:o,s:f}", "name", output->name, "host", output->host, "default",
        output->is_default, "channels", output->channels, "rate", output->rate_hz, "rates",
        hf_query_integers(output->rates_hz, output->rate_count), "latency_ms", latency_ms);
}

static enum hf_status print_json(const struct hf_live_output *outputs, int count,
                                 struct hf_diag *diag)
{
    json_t *list = json_array();
    for (int i = 0; i < count; i++)
        list = hf_query_append(list, output_object(&outputs[i]));
    return hf_query_print(json_pack("{s:i,s:o}", "holdfast", HF_FORMAT, "outputs", list), diag);
}

int hf_cli_outputs(const struct hf_cli_command *command, int argc, char **argv)
{
    static struct hf_live_output outputs[HF_LIVE_MOST_OUTPUTS]; /* large: not on the stack */
    struct hf_diag diag = {0};
    bool json = false, stop = false;
    int first = 0, count = 0;
    enum hf_status status = hf_cli_parse(command, argc, argv, take, &json, &first, &stop, &diag);
    if (stop)
        return hf_cli_finish();
    if (status == HF_OK && first < argc)
        status = hf_fail(&diag, HF_E_USAGE, "outputs takes no operand");
    if (status == HF_OK)
        status = hf_live_list(outputs, HF_LIVE_MOST_OUTPUTS, &count, &diag);
    if (status == HF_OK && json)
        status = print_json(outputs, count, &diag);
    else if (status == HF_OK)
        print_text(outputs, count);
    return status == HF_OK ? hf_cli_finish() : hf_cli_fail(status, &diag);
}
