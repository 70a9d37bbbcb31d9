/* What the caller gives, and the room to work in.

Field lists are written once, here, and told to the caller by `lifecycle_layout`: the caller fills numbers
and structures by these names, in this order, and does not use a kernel that reads others.
*/

#define LEAKS(X)                                                                                         \
    X(rot_time) X(severe_after) X(sign_rate) X(patch_cost) X(rot_cost) X(severe_days) X(patch_days)      \
    X(silent_share) X(insured_share) X(deductible) X(sudden_within) X(found_at_sale)
#define ROOF(X)                                                                                          \
    X(life_shape) X(life_scale) X(ageing) X(upkeep_exponent) X(ends_by_leak) X(joint_leaks_first_year)   \
    X(joint_leak_growth) X(age_leaks_ten_years) X(age_leak_growth) X(puncture_rate) X(renew_cost)        \
    X(renew_days) X(defect_share) X(defect_life) X(warranty_years) X(warranty_share)                     \
    X(warranty_honoured) X(warranty_leaking_ends) X(resale_share) X(energy_cost)
#define VISIT(X) X(cost) X(hours) X(days) X(finds) X(restores) X(rejuvenates)
#define TERMS(X) X(holding_months) X(day_cost) X(hour_value)
#define CHANGE(X) X(quote) X(days)
#define HIDDEN_LEAK(X) X(joint) X(puncture)

/* A spell: its last month, the planned change or -1, and the first row of each group of numbers; `due`
is the place of its months in the calendar, `upkeep_line` that of its visits' lines. Ages in months. */
#define SPELL(X)                                                                                         \
    X(last) X(planned) X(newly_laid) X(calendar_age) X(seal_age) X(roof) X(leaks) X(change) X(visits)    \
    X(visit) X(due) X(upkeep_line)
/* The standing roof's past: `listed` hidden leaks, or -1: from upkeep; `effective_age` row or -1. */
#define PAST(X)                                                                                          \
    X(age) X(roof) X(leaks) X(visits) X(visit) X(due) X(listed) X(hidden_leak) X(inspected) X(effective_age)
/* What is written of an alternative; each stands from a row of the results on, that the caller names, row
after row: years 0, 1, ... of a thing by year, one line after another; kept apart: all years of each line. */
#define RESULTS(X)                                                                                       \
    X(by_year) X(at_holding) X(found_at_sale) X(residual) X(first_change_at_holding) X(first_change)     \
    X(apart_at_holding) X(apart_by_year) X(chance_renewed) X(by_line)
/* An alternative: the spells of the standing roof and of the one that follows; where its lines that are
kept apart from the totals are listed, and how many; the first row of each of its results. Chances and lines
are worked out together, unless the row of the lines is -1. */
#define WAY(X) X(existing) X(following) X(apart) X(aparts) RESULTS(X)
/* What is written of the past, each a row of the results, in this order. */
#define HISTORY(X) X(log_stands) X(found_so_far)
/* Which line of the account takes what; -1: none. */
#define LINES(X)                                                                                         \
    X(renewal) X(leak_damage) X(warranty) X(insurance) X(energy) X(days) X(hours) X(first_changes)       \
    X(renewals) X(leaks) X(severe_finds) X(days_out_of_use) X(owners_hours)
/* Sizes: new roofs are the first spells; the first lines are money and are added to totals; `rows` of
results in all. The first numbers are the terms, and after them what a month discounts at each rate. */
#define SIZES(X)                                                                                         \
    X(months) X(years) X(new_roofs) X(ways) X(lines) X(money_lines) X(rates) X(rows) X(most_cohorts)

#define NUMBER(name) Draws name;
#define WHOLE(name) int32_t name;
#define NAME(name) " " #name
#define PLACE(name) name,

typedef struct { LEAKS(NUMBER) } Leaks;
typedef struct { ROOF(NUMBER) } Roof;
typedef struct { VISIT(NUMBER) } Visit;
typedef struct { TERMS(NUMBER) } Terms;
typedef struct { CHANGE(NUMBER) } Change;
typedef struct { HIDDEN_LEAK(NUMBER) } HiddenLeak;
typedef struct { SPELL(WHOLE) } Spell;
typedef struct { PAST(WHOLE) } Past;
typedef struct { WAY(WHOLE) } Way;
typedef struct { LINES(WHOLE) } Lines;
typedef struct { SIZES(WHOLE) } Sizes;

typedef struct {
    const double *numbers;       /* row by row, a column for each draw */
    double *results;             /* the same */
    int64_t columns;
    const Sizes *sizes;
    const Past *past;
    const Lines *lines;
    const Spell *spells;
    const Way *ways;
    const uint32_t *calendar;    /* which visits are due, a bit for each, by month */
    const int32_t *upkeep_lines; /* the line of each visit of a spell */
    const int32_t *rates;        /* the rate of escalation of each line */
    const double *hidden_ages;   /* of listed hidden leaks [months] */
    const int32_t *apart_lines;  /* lines kept apart, way by way */
} Case;

enum { MOST_VISITS = 8 * sizeof(uint32_t) };      /* of a plan: a bit of a month of the calendar for each */
enum { HISTORY(PLACE) };
enum { FIRST_RATE = sizeof(Terms) / sizeof(Draws) };
enum { NO_MEMORY = 1, NO_SUCH_ROW };              /* why an evaluation ended */
enum { MOST_HELD = 64 };

static const double TOLERANCE = 1e-9; /* two times nearer than this are the same [months] */

typedef struct {
    Draws *lines;                              /* line by line, months + 2 entries each */
    Draws *renewed, *renewed_after;            /* mass renewed without a plan: in all, in step 4 */
    Draws *found_at_sale, *residual;           /* by month of sale, over what stands [money] */
    Draws changed;                             /* mass stripped by the planned change */
} Result;

enum { RESULTS_BY_MONTH = 4 };                 /* besides the lines; they stand after them */

typedef struct {                               /* leaks hidden today, by cohort of one age */
    int number;
    double *age;                               /* [months] */
    Draws *plain, *puncture, *end;             /* open: all but end leaks, punctures of them, end leaks */
    Draws *silent, *silent_puncture;
    Draws *puncture_now;                       /* open punctures as the spell goes on */
    Draws effective_age;                       /* [years] */
} Today;

typedef struct {                               /* leaks that start in a spell, by month */
    Draws *plain, *puncture, *end;             /* all but end leaks, punctures of them, end leaks */
    Draws *left;                               /* of those that were open, when they turn severe */
    Draws *sudden, *sudden_amount;             /* open punctures by months hidden; what is paid for one */
} Births;

typedef struct {                               /* leaks of these cohorts that turn severe, by month */
    Draws *plain, *end, *silent, *silent_puncture, *silent_sound;
} Turning;

typedef struct {
    const Case *of;
    int64_t column;
    Terms terms;
    int holding[LANES];                        /* month of the sale that stands for the holding period */
    unsigned char *sold;                       /* whether a sale of some draw falls on the month */
    Draws *factor;                             /* by rate and month: months + 2 entries each */
    Draws *left_by_visits, *left;              /* by visits of a month; of the past, since a month */
    Births births;
    Today today;
    Turning turning;
    Draws *laid, *running, *own, *following, *total, *weight, *net;
    Result *results;
    void *held[MOST_HELD];
    int holds, failed;                         /* why, or 0 */
} Room;

static void *room_for(Room *room, size_t count, size_t size)
{
    if (room->holds == MOST_HELD) {
        room->failed = NO_MEMORY;
        return NULL;
    }
    const size_t whole = (count * size + sizeof(Draws) - 1) / sizeof(Draws) * sizeof(Draws);
#ifdef _WIN32
    void *some = _aligned_malloc(whole, sizeof(Draws));
#else
    void *some = aligned_alloc(sizeof(Draws), whole);
#endif
    if (some == NULL) room->failed = NO_MEMORY;
    else room->held[room->holds++] = memset(some, 0, whole);
    return some;
}

/* Give everything back, and say why it failed, if it did. */
static int leave(Room *room)
{
    while (room->holds > 0) {
        void *some = room->held[--room->holds];
#ifdef _WIN32
        _aligned_free(some);
#else
        free(some);
#endif
    }
    return room->failed;
}

static Draws *draws_for(Room *room, size_t count) { return room_for(room, count, sizeof(Draws)); }

static inline Draws number(const Room *room, int row)
{
    Draws out;
    memcpy(&out, room->of->numbers + (int64_t)row * room->of->columns + room->column, sizeof(Draws));
    return out;
}

/* Write a row of the results; one that the caller has no room for ends the evaluation. */
static void keep(Room *room, int row, Draws value)
{
    const Case *of = room->of;
    if (row < 0 || row >= of->sizes->rows) room->failed = NO_SUCH_ROW;
    else memcpy(of->results + (int64_t)row * of->columns + room->column, &value, sizeof(Draws));
}

/* Fill a struct of numbers from the rows that stand together. */
static void read_numbers(const Room *room, int row, void *out, size_t size)
{
    for (size_t i = 0; i < size / sizeof(Draws); i++) ((Draws *)out)[i] = number(room, row + (int)i);
}

#define READ(room, row, what) read_numbers(room, row, &(what), sizeof(what))

