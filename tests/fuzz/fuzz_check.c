/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Small plans that are mostly valid, made by the grammar of tests/support/random_plan.h out of the fuzzer's bytes: each
 * choice of the grammar takes the next of them. Whatever can be read is judged by both models and told in every way. */
#include <stddef.h>
#include <stdint.h>
#include <string.h>

/* Stands for support/random.h: the same names, but the numbers come from the input; zeros when it is used up. */
#define TEST_RANDOM_H

static const unsigned char *next_byte;
static size_t bytes_left;

static unsigned take_byte(void)
{
    if (bytes_left == 0) return 0;
    bytes_left--;
    return *next_byte++;
}

static size_t random_below(uint64_t *state, size_t n)
{
    (void)state;
    return (n > 256 ? take_byte() * 256u + take_byte() : take_byte()) % n;
}

static double random_between(uint64_t *state, double low, double high)
{
    (void)state;
    const unsigned number = take_byte() * 256u + take_byte();
    return low + (high - low) * (double)number / 65536.0;
}

#include "fuzz/fuzz.h"
#include "fuzz/whole.h"
/* Near each other, so that they are quick to judge and some devices are heard. */
#define RANDOM_PLAN_SPREAD_M 5
#define RANDOM_PLAN_RECEIVER "1.5,21.25"
#include "support/random_plan.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static earshot_findings findings;
    earshot_plan *plan;
    random_plan made;
    next_byte = data;
    bytes_left = size;
    make_random_plan(&made, 0);
    MUST_HOLD(!made.text.failed);
    if (getenv("FUZZ_SHOW")) puts(made.text.data); /* to see the plan of an input */
    if (earshot_plan_read(made.text.data, made.text.size, "made.plan", &plan, &findings) == EARSHOT_OK) {
        judge_whole_plan(plan, EARSHOT_MODEL_DIRECT);
        judge_whole_plan(plan, EARSHOT_MODEL_RAYS);
    }
    earshot_plan_free(plan);
    earshot_text_clear(&made.text);
    return 0;
}
