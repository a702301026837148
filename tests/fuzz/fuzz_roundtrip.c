/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whatever can be read as a plan is the same plan after writing and reading again. */
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "earshot/earshot.h"
#include "fuzz/fuzz.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static earshot_findings findings;
    earshot_plan *plan, *again;
    char *text, *second;
    if (earshot_plan_read((const char *)data, size, "fuzz.plan", &plan, &findings) != EARSHOT_OK) return 0;
    MUST_HOLD(earshot_plan_write(plan, &text) == EARSHOT_OK);
    MUST_HOLD(earshot_plan_read(text, strlen(text), "fuzz.plan", &again, &findings) == EARSHOT_OK);
    MUST_HOLD(earshot_plan_equal(plan, again));
    MUST_HOLD(earshot_plan_write(again, &second) == EARSHOT_OK);
    MUST_HOLD(strcmp(text, second) == 0);
    earshot_text_free(second);
    earshot_plan_free(again);
    earshot_text_free(text);
    earshot_plan_free(plan);
    return 0;
}
