/* SPDX-License-Identifier: MIT */
#include <holdfast/review_plot.h>

enum hf_status hf_review_plot_check(const char *path, struct hf_diag *diag)
{
    (void)path;
    return hf_fail(diag, HF_E_USAGE, "pages are drawn by cairo, which this build lacks");
}

enum hf_status hf_review_plot(const struct hf_review *review, int32_t today, enum hf_names names,
                              const char *path, struct hf_diag *diag)
{
    (void)review;
    (void)today;
    (void)names;
    return hf_review_plot_check(path, diag);
}
