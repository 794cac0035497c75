-- Posts the lines of a file in turn (wrk ... URL -- FILE), and prints one line that a script can read.
local bodies = {}
local turn = 0

function init(arguments)
    for line in io.lines(arguments[1]) do
        bodies[#bodies + 1] = wrk.format("POST", nil, {["Content-Type"] = "application/json"}, line)
    end
end

function request()
    turn = turn % #bodies + 1
    return bodies[turn]
end

function done(summary)
    local errors = summary.errors
    local failed = errors.connect + errors.read + errors.write + errors.status + errors.timeout
    io.write(string.format("RESULT %d %d %d\n", summary.requests, summary.duration, failed))
end
