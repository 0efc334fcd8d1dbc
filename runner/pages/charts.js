// Draws charts in ink and greys by Chart.js. Beside each chart stands a table of the same numbers.
import {element} from "./elements.js";

const kLabelLetters = 26;
// Lines are told apart by dash and mark, and by a name at the end of each line.
const kDashes = [[], [9, 4], [2, 3]];
const kMarks = ["circle", "rect", "triangle"];

function tint(name) {
    return getComputedStyle(document.documentElement).getPropertyValue(name).trim();
}

function font(weight = "normal") {
    return {size: 15, weight, family: getComputedStyle(document.body).fontFamily};
}

function pen(context) {
    const {size, family} = font();
    context.font = `bold ${size}px ${family}`;
    context.fillStyle = tint("--ink");
    context.strokeStyle = tint("--ink");
}

function options(more) {
    const {plugins, ...rest} = more;
    return {animation: false, maintainAspectRatio: false, events: [], plugins: {legend: {display: false}, tooltip: {enabled: false}, ...plugins}, ...rest};
}

function scale({title, ticks, grid, ...rest}) {
    return {
        ticks: {color: tint("--ink"), font: font(), ...ticks},
        grid: {color: tint("--faint"), borderColor: tint("--line"), ...grid},
        title: {display: Boolean(title), text: title, color: tint("--ink"), font: font()},
        ...rest,
    };
}

function lines_of(text) {
    const lines = [""];
    for (const word of text.split(" ")) {
        const last = lines[lines.length - 1];
        if (last && last.length + word.length >= kLabelLetters) lines.push(word);
        else lines[lines.length - 1] = last ? `${last} ${word}` : word;
    }
    return lines;
}

// Makes a box that sets the size of its canvas. `kind` is a function of this file that describes a chart. The numbers
// come by show(label, numbers), where the label says in words what the chart shows.
export function chart(kind, size) {
    const canvas = element("canvas", {role: "img"});
    const node = element("div", {class_name: `chart ${size}`}, canvas);
    let drawn = null;
    let numbers = null;
    const draw = () => {
        const {type, data, options: described, plugins} = kind(numbers);
        if (drawn) {
            drawn.data = data;
            drawn.options = described;
            drawn.update("none");
        } else {
            drawn = new Chart(canvas, {type, data, options: described, plugins});
        }
    };
    const scheme = matchMedia("(prefers-color-scheme: dark)");
    scheme.addEventListener("change", draw);
    return {
        node,
        show(label, new_numbers) {
            if (JSON.stringify(new_numbers) === JSON.stringify(numbers)) return;
            numbers = new_numbers;
            canvas.setAttribute("aria-label", label);
            draw();
        },
        remove() {
            scheme.removeEventListener("change", draw);
            drawn?.destroy();
            node.remove();
        },
    };
}

const number_at_bar = {
    id: "number_at_bar",
    afterDatasetsDraw(drawn) {
        const context = drawn.ctx;
        pen(context);
        context.textBaseline = "middle";
        drawn.getDatasetMeta(0).data.forEach((bar, i) => context.fillText(String(drawn.data.datasets[0].data[i]), bar.x + 8, bar.y));
    },
};

// The numbers are [{text, count}].
export function bars(choices) {
    return {
        type: "bar",
        data: {
            labels: choices.map(({text}) => lines_of(text)),
            datasets: [{data: choices.map(({count}) => count), backgroundColor: tint("--bar"), borderColor: tint("--ink"), borderWidth: 2, maxBarThickness: 48}],
        },
        options: options({
            indexAxis: "y",
            layout: {padding: {right: 48}},
            scales: {
                x: scale({beginAtZero: true, suggestedMax: 4, ticks: {precision: 0}, title: "people"}),
                y: scale({grid: {display: false}}),
            },
        }),
        plugins: [number_at_bar],
    };
}

// Draws a dashed line at the median, and the quartiles as a bracket above the bars.
const median_line = {
    id: "median_line",
    afterDatasetsDraw(drawn, _, {median, quartile_1, quartile_3}) {
        if (typeof median !== "number") return;
        const {ctx: context, chartArea: area, scales} = drawn;
        const across = (share) => scales.x.getPixelForValue(share);
        context.save();
        pen(context);
        context.lineWidth = 3;
        context.setLineDash([8, 5]);
        context.beginPath();
        context.moveTo(across(median), area.bottom);
        context.lineTo(across(median), area.top - 14);
        context.stroke();
        context.setLineDash([]);
        context.lineWidth = 2;
        context.beginPath();
        context.moveTo(across(quartile_1), area.top);
        context.lineTo(across(quartile_1), area.top - 8);
        context.lineTo(across(quartile_3), area.top - 8);
        context.lineTo(across(quartile_3), area.top);
        context.stroke();
        context.textAlign = median < 0.15 ? "left" : median > 0.85 ? "right" : "center";
        context.fillText(`median ${Math.round(median * 100)}`, across(median), area.top - 20);
        context.restore();
    },
};

// The numbers are {bins, median, quartile_1, quartile_3}: shares from 0 to 1, in bins of equal width.
export function histogram({bins, ...middle}) {
    return {
        type: "bar",
        data: {
            datasets: [{
                data: bins.map((count, i) => ({x: (i + 0.5) / bins.length, y: count})),
                backgroundColor: tint("--bar"), borderColor: tint("--ink"), borderWidth: 1, barPercentage: 1, categoryPercentage: 1, inflateAmount: 0,
            }],
        },
        options: options({
            layout: {padding: {top: 40}},
            scales: {
                x: scale({type: "linear", min: 0, max: 1, offset: false, grid: {offset: false}, ticks: {stepSize: 0.25, callback: (share) => String(Math.round(share * 100))}}),
                y: scale({beginAtZero: true, suggestedMax: 4, ticks: {precision: 0}, title: "people"}),
            },
            plugins: {median_line: middle},
        }),
        plugins: [median_line],
    };
}

// Writes the name of each line at its end. Names are moved apart where lines end together. It also draws zero, where
// the prediction is.
const names_and_zero = {
    id: "names_and_zero",
    beforeDatasetsDraw({ctx: context, chartArea: area, scales}) {
        const zero = scales.y.getPixelForValue(0);
        context.save();
        context.strokeStyle = tint("--ink");
        context.lineWidth = 3;
        context.beginPath();
        context.moveTo(area.left, zero);
        context.lineTo(area.right, zero);
        context.stroke();
        context.restore();
    },
    afterDatasetsDraw(drawn) {
        const context = drawn.ctx;
        const ends = drawn.data.datasets.map(({label}, i) => ({label, point: drawn.getDatasetMeta(i).data.at(-1)}))
            .filter(({point}) => point && Number.isFinite(point.y))
            .sort((a, b) => a.point.y - b.point.y);
        context.save();
        pen(context);
        context.textBaseline = "middle";
        let lowest = -Infinity;
        for (const {label, point} of ends) {
            lowest = Math.max(point.y, lowest + font().size + 2);
            context.fillText(label, point.x + 12, lowest);
        }
        context.restore();
    },
};

// The numbers are {unit, lines: [{name, points: [{x, y}]}]} over trials. A y may be null.
export function lines_over_trials({unit, lines}) {
    return {
        type: "line",
        data: {
            datasets: lines.map(({name, points}, i) => ({
                label: name, data: points, borderColor: tint("--ink"), backgroundColor: i === 0 ? tint("--ink") : tint("--paper"),
                borderWidth: 2, borderDash: kDashes[i], pointStyle: kMarks[i], pointRadius: 5, pointBorderWidth: 2,
            })),
        },
        options: options({
            layout: {padding: {right: 72, top: 8}},
            scales: {
                x: scale({type: "linear", ticks: {precision: 0}, title: "trial", grid: {display: false}}),
                y: scale({suggestedMin: lines.length > 1 ? -1 : 0, suggestedMax: 1, title: unit}),
            },
        }),
        plugins: [names_and_zero],
    };
}
