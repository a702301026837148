/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Options from one table: names, arguments, help, and what each sets. */
#define _GNU_SOURCE /* getopt_long */
#include <getopt.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/units.h"
#include "base/utf8.h"
#include "cli/cli.h"

typedef struct row {
    char letter; /* by which commands name it; also what getopt_long returns */
    const char *name, *argument, *help;
} row;

static const row ROWS[] = {
    {'m', "model", "direct|rays", "how path loss is computed; default rays"},
    {'b', "band", "MHZ", "a band of the plan, e.g. 868 or 433.92; may be given\nagain; all (default): every band"},
    {'s', "scene", "NAME", "a what-if of the plan; none (default): as drawn; all"},
    {'t', "storey", "NAME", "only the map of this storey"},
    {'r', "receiver", "NAME", "which receiver, where there are several; default the\nfirst"},
    {'R', "radio", "NAME", "radio of the device that is carried about; default\nthat of most devices"},
    {'F', "from", "NAME", "mount or receiver the map is drawn for; default the\nreceiver"},
    {'c', "cell", "LENGTH",
     "width of a character of the map, e.g. 0.5m; it is\ntwice as high; default: fits the terminal"},
    {'z', "height", "LENGTH", "height of the map above the storey's floor; default 1.5m"},
    {'M', "no-map", NULL, "no text map"},
    {'C', "csv", "FILE", "write CSV to a file; - puts it on stdout in place of\nthe text"},
    {'J', "json", "FILE", "write JSON to a file; - puts it on stdout in place of\nthe text"},
    {'p', "picture", "FILE", "draw a picture; the ending says how: .svg .png .pdf"},
    {'o', "output", "FILE", "the document to write, .pdf or .html"},
    {'L', "language", "en|de", "language of what a client reads; default en"},
    {'A', "paper", "a4|letter", "paper of a PDF; default a4"},
    {'q', "place", NULL, "propose the best arrangement, with cable lengths"},
    {'y', "date", "TEXT", "date to print"},
    {'Y', "for", "TEXT", "for whom it was prepared"},
    {'B', "by", "TEXT", "who prepared it"},
    {'a', "anywhere", NULL, "also places along the walls, with mains brought there"},
    {'g', "spacing", "LENGTH", "between places along walls; default 1m"},
    {'k', "best", "N", "how many choices to show; default 3"},
    {'e', "seconds", "N", "time for the solver; default: as long as it takes"},
    {'w', "write", "PLAN", "write the plan with the best choice applied"},
    {'P', "plan", NULL, "print the built-in materials as plan text"},
    {'D', "readings", "FILE", "levels read on site (CSV), from which losses and\nuncertainty are corrected first"},
    {'T', "tolerance", "dB|free",
     "how well the radios' figures are known, all together;\ndefault 3dB; free: not at all"},
    {'N', "noise", "dB", "standard deviation of one reading, fading included;\ndefault: estimated"},
    {'S', "scale", "LOW:HIGH",
     "what 0 and 100 of the panel's scale are in dBm, such\nas -110:-50; default: fitted to the readings"},
    {'Q', "flat", NULL, "forget what the plan says of its materials: readings\nalone"},
    {'X', "next", NULL, "tell which next reading would settle most"},
    {'W', "write", "FILE", "write the corrected materials, for 'use' in the plan"},
    {'H', "help", NULL, "this help"},
};
enum { N_ROWS = sizeof ROWS / sizeof ROWS[0], HELP_COLUMN = 24 };

static bool takes(const cli_command *command, const row *r)
{
    return r->letter == 'H' || strchr(command->options, r->letter) != NULL;
}

static const row *find_row(int letter)
{
    for (size_t i = 0; i < N_ROWS; i++)
        if (ROWS[i].letter == letter) return &ROWS[i];
    return NULL;
}

/* ---- values ---- */

static cli_exit read_model(const cli_command *command, const char *value, cli_options *o)
{
    const char *known[] = {earshot_model_name(EARSHOT_MODEL_DIRECT), earshot_model_name(EARSHOT_MODEL_RAYS)};
    for (size_t i = 0; i < sizeof known / sizeof known[0]; i++) {
        if (strcmp(value, known[i]) != 0) continue;
        o->model = (earshot_model)i;
        return CLI_OK;
    }
    return cli_usage(command, "no model '%s': it is direct or rays", value);
}

static cli_exit read_band(const cli_command *command, const char *value, cli_options *o, bool *all)
{
    double hz;
    size_t at;
    if (strcmp(value, "all") == 0) {
        *all = true;
        return CLI_OK;
    }
    if (es_quantity_read(value, strlen(value), ES_FREQUENCY, &hz, &at))
        return cli_usage(command, "--band '%s' is not a frequency in MHz, nor 'all'", value);
    if (hz < 100e6 || hz > 6e9) return cli_usage(command, "--band '%s' is not between 100 MHz and 6 GHz", value);
    if (o->n_bands == CLI_MAX_BANDS) return cli_usage(command, "--band is given more than %d times", CLI_MAX_BANDS);
    o->band_hz[o->n_bands++] = hz;
    return CLI_OK;
}

static cli_exit read_length(const cli_command *command, const row *r, const char *value, double least, double most,
                            double *length_m)
{
    size_t at;
    if (es_quantity_read(value, strlen(value), ES_LENGTH, length_m, &at))
        return cli_usage(command, "--%s '%s' is not a length (%s)", r->name, value, es_dimension_units(ES_LENGTH));
    if (*length_m < least || *length_m > most)
        return cli_usage(command, "--%s '%s' is not between %g and %g m", r->name, value, least, most);
    return CLI_OK;
}

static cli_exit read_count(const cli_command *command, const row *r, const char *value, size_t *count)
{
    double number;
    size_t at;
    if (es_quantity_read(value, strlen(value), ES_PLAIN, &number, &at) || number != floor(number) || number < 1.0 ||
        number > 1000.0)
        return cli_usage(command, "--%s '%s' is not a whole number from 1 to 1000", r->name, value);
    *count = (size_t)number;
    return CLI_OK;
}

static cli_exit read_seconds(const cli_command *command, const row *r, const char *value, double *seconds)
{
    size_t at;
    if (es_quantity_read(value, strlen(value), ES_TIME, seconds, &at) || *seconds < 0.0 || *seconds > 1e6)
        return cli_usage(command, "--%s '%s' is not a time in seconds", r->name, value);
    return CLI_OK;
}

static cli_exit read_language(const cli_command *command, const char *value, cli_options *o)
{
    for (int i = 0; i < EARSHOT_LANGUAGES; i++) {
        if (strcmp(value, earshot_language_code((earshot_language)i)) != 0) continue;
        o->language = (earshot_language)i;
        return CLI_OK;
    }
    return cli_usage(command, "no language '%s': it is en or de", value);
}

static cli_exit read_paper(const cli_command *command, const char *value, cli_options *o)
{
    const bool letter = strcmp(value, "letter") == 0;
    o->paper = letter ? EARSHOT_PAPER_LETTER : EARSHOT_PAPER_A4;
    return letter || strcmp(value, "a4") == 0 ? CLI_OK : cli_usage(command, "no paper '%s': it is a4 or letter", value);
}

static cli_exit read_decibels(const cli_command *command, const row *r, const char *value, double *db)
{
    size_t at;
    if (es_quantity_read(value, strlen(value), ES_RATIO, db, &at) || !(*db > 0.0 && *db <= 60.0))
        return cli_usage(command, "--%s '%s' is not a figure in dB above 0 and up to 60", r->name, value);
    return CLI_OK;
}

static cli_exit read_tolerance(const cli_command *command, const row *r, const char *value, cli_options *o)
{
    if (strcmp(value, "free") != 0) return read_decibels(command, r, value, &o->tolerance_db);
    o->tolerance_db = INFINITY;
    return CLI_OK;
}

static cli_exit read_scale(const cli_command *command, const char *value, cli_options *o)
{
    const char *colon = strchr(value, ':');
    size_t at;
    const bool read = colon && !es_quantity_read(value, (size_t)(colon - value), ES_LEVEL, &o->scale_low_dbm, &at) &&
                      !es_quantity_read(colon + 1, strlen(colon + 1), ES_LEVEL, &o->scale_high_dbm, &at);
    if (read && o->scale_low_dbm < o->scale_high_dbm) return CLI_OK;
    return cli_usage(command, "--scale '%s' is not two levels in dBm, the lower one first, such as -110:-50", value);
}

/* A line to print; no library draws what is not text. */
static cli_exit read_line(const cli_command *command, const row *r, const char *value, const char **line)
{
    if (!es_utf8_is_line(value, strlen(value)))
        return cli_usage(command, "--%s '%s' is not a line of text in UTF-8", r->name, value);
    *line = value;
    return CLI_OK;
}

static cli_exit set_option(const cli_command *command, const row *r, const char *value, cli_options *o, bool *all)
{
    switch (r->letter) {
    case 'm': return read_model(command, value, o);
    case 'b': return read_band(command, value, o, all);
    case 's': o->scene = value; break;
    case 't': o->storey = value; break;
    case 'r': o->receiver = value; break;
    case 'R': o->radio = value; break;
    case 'F': o->from = value; break;
    case 'c': return read_length(command, r, value, 0.01, 100.0, &o->cell_m);
    case 'z': return read_length(command, r, value, -100.0, 1000.0, &o->height_m);
    case 'a': o->anywhere = true; break;
    case 'g': return read_length(command, r, value, 0.2, 100.0, &o->spacing_m);
    case 'k': return read_count(command, r, value, &o->best);
    case 'e': return read_seconds(command, r, value, &o->seconds);
    case 'w': o->write = value; break;
    case 'M': o->no_map = true; break;
    case 'C': o->csv = value; break;
    case 'J': o->json = value; break;
    case 'p': o->picture = value; break;
    case 'o': o->output = value; break;
    case 'q': o->place = true; break;
    case 'y': return read_line(command, r, value, &o->date);
    case 'Y': return read_line(command, r, value, &o->prepared_for);
    case 'B': return read_line(command, r, value, &o->prepared_by);
    case 'L': return read_language(command, value, o);
    case 'A': return read_paper(command, value, o);
    case 'P': o->plan_text = true; break;
    case 'D': o->readings = value; break;
    case 'T': return read_tolerance(command, r, value, o);
    case 'N': return read_decibels(command, r, value, &o->noise_db);
    case 'S': return read_scale(command, value, o);
    case 'Q': o->flat = true; break;
    case 'X': o->next = true; break;
    case 'W': o->write = value; break;
    case 'H': o->help = true; break;
    default: break;
    }
    return CLI_OK;
}

/* ---- reading ---- */

static size_t make_long_options(const cli_command *command, struct option *out)
{
    size_t n = 0;
    for (size_t i = 0; i < N_ROWS; i++) {
        if (!takes(command, &ROWS[i])) continue;
        out[n++] =
            (struct option){ROWS[i].name, ROWS[i].argument ? required_argument : no_argument, NULL, ROWS[i].letter};
    }
    out[n] = (struct option){0};
    return n;
}

static cli_exit unknown_option(const cli_command *command, const char *word, const struct option *known, size_t n)
{
    const char *name[N_ROWS];
    char bare[64];
    for (size_t i = 0; i < n; i++) name[i] = known[i].name;
    const size_t length = strcspn(word + strspn(word, "-"), "=");
    snprintf(bare, sizeof bare, "%.*s", (int)(length < sizeof bare ? length : sizeof bare - 1),
             word + strspn(word, "-"));
    const char *nearest = cli_nearest(bare, name, n);
    if (nearest) return cli_usage(command, "unknown option '%s'; did you mean '--%s'?", word, nearest);
    return cli_usage(command, "unknown option '%s'", word);
}

static cli_exit read_operands(const cli_command *command, int n, char **operand, cli_options *o)
{
    if ((size_t)n < command->least)
        return cli_usage(command, "%s needs %s", command->name, n == 0 ? command->operands : command->second);
    if ((size_t)n > command->most)
        return cli_usage(command, "do not know what to do with '%s'", operand[command->most]);
    if (n > 0) o->plan = operand[0];
    if (n > 1) o->device = operand[1];
    return CLI_OK;
}

static cli_exit check_together(const cli_command *command, const cli_options *o)
{
    const bool both = o->csv && o->json && strcmp(o->csv, "-") == 0 && strcmp(o->json, "-") == 0;
    return both ? cli_usage(command, "only one of --csv and --json can go to stdout") : CLI_OK;
}

cli_exit cli_read_options(const cli_command *command, int argc, char **argv, cli_options *options)
{
    struct option known[N_ROWS + 1];
    const size_t n = make_long_options(command, known);
    const char *letters = strchr(command->options, 'o') ? ":ho:" : ":h"; /* the only ones with a short form */
    bool all = false;
    *options = (cli_options){.model = CLI_MODEL,
                             .cell_m = NAN,
                             .height_m = NAN,
                             .spacing_m = NAN,
                             .seconds = NAN,
                             .tolerance_db = NAN,
                             .noise_db = NAN,
                             .scale_low_dbm = NAN,
                             .scale_high_dbm = NAN};
    opterr = 0;
    for (;;) {
        const int at = optind;
        const int letter = getopt_long(argc, argv, letters, known, NULL);
        if (letter == -1) break;
        const row *r = find_row(letter == 'h' ? 'H' : letter);
        if (letter == ':') return cli_usage(command, "option '%s' needs a value", argv[optind - 1]);
        if (letter == '?' || !r) return unknown_option(command, argv[optind > at ? optind - 1 : at], known, n);
        const cli_exit set = set_option(command, r, optarg, options, &all);
        if (set != CLI_OK || options->help) return set;
    }
    if (all) options->n_bands = 0;
    const cli_exit read = read_operands(command, argc - optind, argv + optind, options);
    return read == CLI_OK ? check_together(command, options) : read;
}

/* ---- help ---- */

static void print_row(const row *r)
{
    int column = printf(r->letter == 'o' ? "  -o, --%s" : "  --%s", r->name);
    if (r->argument) column += printf(" %s", r->argument);
    if (column >= HELP_COLUMN) column = printf("\n") - 1;
    for (const char *c = r->help; *c; c++) {
        if (c == r->help || c[-1] == '\n') printf("%*s", HELP_COLUMN - column, "");
        putchar(*c);
        if (*c == '\n') column = 0;
    }
    putchar('\n');
}

static void print_program_help(void)
{
    puts("earshot: will the receiver of a wireless alarm system hear its devices?\n\n"
         "usage: earshot COMMAND ...\n");
    for (size_t i = 0; i < CLI_N_COMMANDS; i++) printf("  %-10s %s\n", CLI_COMMANDS[i]->name, CLI_COMMANDS[i]->summary);
    puts("\n'earshot COMMAND --help' tells more; 'earshot --version' tells the version.\n\n"
         "Exit status: 0 every device has its margin; 1 some device needs a repeater or a\n"
         "wire; 2 the command line is wrong; 3 the plan is wrong; 4 a file cannot be read\n"
         "or written; 5 out of memory or an internal fault.\n\n"
         "An estimate does not replace the walk test on site.");
}

void cli_print_help(const cli_command *command)
{
    if (!command) {
        print_program_help();
        return;
    }
    printf("earshot %s: %s\n\nusage: earshot %s %s%s[options]\n\n%s\n\n", command->name, command->summary,
           command->name, command->operands, command->operands[0] ? " " : "", command->description);
    for (size_t i = 0; i < N_ROWS; i++)
        if (takes(command, &ROWS[i])) print_row(&ROWS[i]);
}
