/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any bytes as a plan: reading ends, and its answer is one of those promised. */
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "earshot/earshot.h"
#include "fuzz/fuzz.h"

static void check_error(const earshot_error *e)
{
    MUST_HOLD(e->message[0] != '\0');
    MUST_HOLD(e->caret <= strlen(e->excerpt) + 1);
    MUST_HOLD(e->line == 0 || (e->column > 0 && e->width > 0));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static earshot_findings findings;
    earshot_plan *plan;
    const earshot_status status = earshot_plan_read((const char *)data, size, "fuzz.plan", &plan, &findings);
    MUST_HOLD((status == EARSHOT_OK) == (plan != NULL));
    MUST_HOLD((status == EARSHOT_OK) == (findings.n_mistakes == 0));
    MUST_HOLD(!plan || plan->n_bands > 0);
    for (size_t i = 0; i < findings.n_mistakes && i < EARSHOT_MAX_FINDINGS; i++) check_error(&findings.mistake[i]);
    for (size_t i = 0; i < findings.n_warnings && i < EARSHOT_MAX_FINDINGS; i++) check_error(&findings.warning[i]);
    earshot_plan_free(plan);
    return 0;
}
