/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Plans with a few slips and outrages in each, made at random but the same each time: mutate NUMBER SEED PLAN...
 * Every one is read; of those that are still plans some are judged. It tells how it went, how long the longest took and
 * how much memory was used at most; one that takes longer than PATIENCE_S ends the program. */
#define _XOPEN_SOURCE 700
#include <string.h>
#include <sys/resource.h>
#include <time.h>

#include "earshot/earshot.h"
#include "fuzz/fuzz.h"
#include "fuzz/whole.h"
#include "support/random.h"

enum { MOST_BYTES = 1 << 20, MOST_SLIPS = 3, JUDGED = 256, JUDGED_BY_RAYS = 2048 };

static const double PATIENCE_S = 30.0;

static const char *const PIECES[] = {"1e308",
                                     "-1e308",
                                     "1e-320",
                                     "nan",
                                     "inf",
                                     "-inf",
                                     "1e999",
                                     "0x1p3",
                                     "-0",
                                     "99999999999999999999",
                                     "100001",
                                     "0",
                                     "-1",
                                     "3.141592653",
                                     "\"",
                                     "=",
                                     ",",
                                     ":",
                                     "#",
                                     "\n",
                                     "\xFF\xFE",
                                     "\r\n",
                                     "\t",
                                     "\xE2\x80\x93",
                                     " ",
                                     "m",
                                     "dBm",
                                     "%",
                                     "use \"x.plan\"\n",
                                     "wall open 0,0 1,0\n",
                                     "hole 1,1 2,1 2,2\n",
                                     "storey s level=0 height=2\n",
                                     "band 868 433.92 2450\n"};
enum { N_PIECES = sizeof PIECES / sizeof PIECES[0] };

typedef struct original {
    char *text;
    size_t size;
} original;

typedef struct tally {
    unsigned long read, refused, judged, judged_by_rays;
    double longest_s;
} tally;

static double now_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

static original load(const char *path)
{
    original o = {.text = malloc(MOST_BYTES / 2)};
    FILE *file = fopen(path, "rb");
    MUST_HOLD(file && o.text);
    o.size = fread(o.text, 1, MOST_BYTES / 2, file);
    MUST_HOLD(o.size > 0);
    fclose(file);
    return o;
}

/* Put n bytes in the place of `cut` bytes at `at`. */
static size_t replace(char *text, size_t size, size_t at, size_t cut, const char *bytes, size_t n)
{
    if (size - cut + n > MOST_BYTES) return size;
    memmove(text + at + n, text + at + cut, size - at - cut);
    memcpy(text + at, bytes, n);
    return size - cut + n;
}

/* The number at or after a place. */
static size_t find_number(const char *text, size_t size, size_t at, size_t *length)
{
    while (at < size && (text[at] < '0' || text[at] > '9')) at++;
    *length = 0;
    while (at + *length < size && strchr("0123456789.", text[at + *length])) ++*length;
    return at;
}

static size_t slip(char *text, size_t size, uint64_t *seed)
{
    char copy[200];
    size_t length;
    const size_t at = random_below(seed, size), from = random_below(seed, size);
    const char *piece = PIECES[random_below(seed, N_PIECES)];
    const size_t n = random_below(seed, size - from < sizeof copy ? size - from : sizeof copy);
    switch (random_below(seed, 10)) {
    case 0: text[at] = (char)random_below(seed, 256); return size;
    case 1: return replace(text, size, at, 0, piece, strlen(piece));
    case 2: return n < size - at ? replace(text, size, at, n, "", 0) : size;
    case 3: memcpy(copy, text + from, n); return replace(text, size, at, 0, copy, n);
    case 4: /* a number becomes another piece */
        length = 0;
        const size_t number = find_number(text, size, at, &length);
        return replace(text, size, number, length, piece, strlen(piece));
    default: /* a digit becomes another: often still a plan */
        length = 0;
        const size_t digit = find_number(text, size, at, &length);
        if (digit < size) text[digit] = (char)('0' + random_below(seed, 10));
        return size;
    }
}

static void look_at(const char *text, size_t size, uint64_t *seed, tally *t)
{
    static earshot_findings findings;
    earshot_plan *plan;
    const double start_s = now_s();
    const earshot_status status = earshot_plan_read(text, size, "mutated.plan", &plan, &findings);
    MUST_HOLD((status == EARSHOT_OK) == (plan != NULL) && (status == EARSHOT_OK) == (findings.n_mistakes == 0));
    if (plan)
        t->read++;
    else
        t->refused++;
    if (plan && random_below(seed, JUDGED) == 0) {
        judge_whole_plan(plan, EARSHOT_MODEL_DIRECT);
        t->judged++;
    }
    if (plan && random_below(seed, JUDGED_BY_RAYS) == 0) {
        judge_whole_plan(plan, EARSHOT_MODEL_RAYS);
        t->judged_by_rays++;
    }
    earshot_plan_free(plan);
    const double took_s = now_s() - start_s;
    if (took_s > t->longest_s) t->longest_s = took_s;
    MUST_HOLD(took_s < PATIENCE_S);
}

static char *text;
static size_t text_size;

/* So that an input that ends the program can be looked at. */
static void keep_last(const char *path)
{
    FILE *file = fopen(path, "wb");
    if (!file) return;
    fwrite(text, 1, text_size, file);
    fclose(file);
}

int main(int argc, char **argv)
{
    MUST_HOLD(argc > 3);
    const unsigned long number = strtoul(argv[1], NULL, 10);
    uint64_t seed = strtoull(argv[2], NULL, 10);
    const char *keep = getenv("MUTATE_KEEP");
    const size_t n_plans = (size_t)argc - 3;
    original *plan = calloc(n_plans, sizeof *plan);
    text = malloc(MOST_BYTES + 1);
    MUST_HOLD(plan && text);
    for (size_t i = 0; i < n_plans; i++) plan[i] = load(argv[i + 3]);
    tally t = {0};
    for (unsigned long i = 0; i < number; i++) {
        const original *o = &plan[i % n_plans];
        memcpy(text, o->text, o->size);
        text_size = o->size;
        for (size_t n = random_below(&seed, MOST_SLIPS) + 1; n > 0; n--) text_size = slip(text, text_size, &seed);
        if (keep) keep_last(keep);
        look_at(text, text_size, &seed, &t);
    }
    struct rusage usage;
    getrusage(RUSAGE_SELF, &usage);
    printf("%lu mutations: %lu are still plans, %lu refused; %lu judged, %lu by rays; longest %.2f s of processor, at "
           "most "
           "%ld MB\n",
           number, t.read, t.refused, t.judged, t.judged_by_rays, t.longest_s, usage.ru_maxrss / 1024);
    for (size_t i = 0; i < n_plans; i++) free(plan[i].text);
    free(plan);
    free(text);
    return 0;
}
