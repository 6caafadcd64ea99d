// Sends the open score to a service on this machine and opens the marked score beside it. For MuseScore 3.
import Qt.labs.settings 1.0
import QtQuick 2.9
import QtQuick.Layouts 1.3
import FileIO 3.0
import MuseScore 3.0

MuseScore {
    id: plugin
    menuPath: "Plugins.Left hand"
    description: "Writes fingerings, strings and positions for violin and viola into a copy of the open score."
    version: "1.0"
    requiresScore: true
    pluginType: "dialog"
    width: 700
    height: 340

    Settings {
        category: "left-hand"
        property alias address: address.text
        property alias instrument: instrument.index
        property alias level: level.index
        property alias fingers: fingers.index
        property alias language: language.index
        property alias printed: printed.index
    }

    QtObject {
        id: instrument
        property int index: 0
        readonly property string value: ["violin", "viola"][index]
    }

    QtObject {
        id: level
        property int index: 1
        readonly property string value: ["first", "first-and-third", "to-third", "to-fifth", "all"][index]
    }

    QtObject {
        id: fingers
        property int index: 0
        readonly property string value: ["essential", "all", "shifts"][index]
    }

    QtObject {
        id: printed
        property int index: 0
        readonly property string value: ["keep", "replace", "ignore"][index]
    }

    QtObject {
        id: language
        property int index: 0
        readonly property string value: ["en-GB", "en-US", "de", "fr", "it", "es"][index]
    }

    FileIO {
        id: file
        onError: plugin.say(msg)
    }

    function say(text) {
        message.text = text
    }

    function query() {
        const chosen = {
            filename: "score.musicxml",
            instrument: instrument.value,
            level: level.value,
            fingers: fingers.value,
            language: language.value,
            printed: printed.value
        }
        return Object.keys(chosen).map(function (name) {
            return name + "=" + encodeURIComponent(chosen[name])
        }).join("&")
    }

    // A new name in the system's folder for temporary files.
    function place(suffix) {
        return file.tempPath() + "/left-hand-" + Date.now() + suffix
    }

    function mark() {
        const sent = place("")
        if (!curScore || !writeScore(curScore, sent, "musicxml")) {
            say("The score could not be written as MusicXML. Save it and try again.")
            return
        }
        file.source = sent + ".musicxml"
        const score = file.read()
        file.remove()
        say("Planning…")
        button.enabled = false
        const request = new XMLHttpRequest()
        request.onreadystatechange = function () {
            if (request.readyState !== XMLHttpRequest.DONE)
                return
            button.enabled = true
            answered(request.status, request.responseText, request.getResponseHeader("Handframe-Proposals"))
        }
        request.open("POST", address.text.replace(/\/+$/, "") + "/annotate?" + query())
        request.setRequestHeader("Content-Type", "application/vnd.recordare.musicxml+xml")
        request.send(score)
    }

    function answered(status, text, proposals) {
        if (status === 200) {
            file.source = place("-marked.musicxml")
            file.write(text)
            readScore(file.source)
            say("The marked copy is open. Passages away from first position: " + (proposals || 0) + ".")
        } else if (status === 204) {
            say("The score already carries exactly these marks.")
        } else if (status === 0) {
            say("Nothing answers at " + address.text + ". Start the service (make serve) and press the button again.")
        } else {
            say(refusal(text) || "What answers at " + address.text + " is something else (status " + status + ").")
        }
    }

    function refusal(text) {
        try {
            const problem = JSON.parse(text)
            return problem.detail + " " + problem.advice
        } catch (error) {
            return ""
        }
    }

    // Plain items only: the desktop style of Qt Quick Controls ends MuseScore 3.2 with a fault.
    Component {
        id: choice
        Row {
            spacing: 4
            Repeater {
                model: labels
                Rectangle {
                    width: word.width + 16
                    height: 26
                    radius: 3
                    border.color: "#666666"
                    color: index === setting.index ? "#2f5d8a" : "#ffffff"
                    Text {
                        id: word
                        anchors.centerIn: parent
                        color: index === setting.index ? "#ffffff" : "#222222"
                        text: modelData
                    }
                    MouseArea {
                        anchors.fill: parent
                        onClicked: setting.index = index
                    }
                }
            }
        }
    }

    Rectangle {
        anchors.fill: parent
        color: "#eeeeee"

        GridLayout {
            anchors.fill: parent
            anchors.margins: 16
            columns: 2
            columnSpacing: 12
            rowSpacing: 8

            Text { text: "Instrument" }
            Loader { property var setting: instrument; property var labels: ["violin", "viola"]; sourceComponent: choice }

            Text { text: "Level" }
            Loader {
                property var setting: level
                property var labels: ["1st position only", "1st and 3rd", "up to 3rd", "up to 5th", "all positions"]
                sourceComponent: choice
            }

            Text { text: "Fingers shown" }
            Loader {
                property var setting: fingers
                property var labels: ["where needed", "all", "at shifts only"]
                sourceComponent: choice
            }

            Text { text: "Fingerings in the score" }
            Loader { property var setting: printed; property var labels: ["keep", "replace", "ignore"]; sourceComponent: choice }

            Text { text: "Marks in" }
            Loader {
                property var setting: language
                property var labels: ["English (GB)", "English (US)", "Deutsch", "Français", "Italiano", "Español"]
                sourceComponent: choice
            }

            Text { text: "Service" }
            Rectangle {
                Layout.fillWidth: true
                height: 26
                border.color: "#666666"
                TextInput {
                    id: address
                    anchors.fill: parent
                    anchors.margins: 5
                    clip: true
                    selectByMouse: true
                    text: "http://127.0.0.1:8765"
                }
            }

            Item { width: 1; height: 1 }
            Rectangle {
                id: button
                width: 140
                height: 32
                radius: 3
                color: enabled ? "#2f5d8a" : "#9aa5b1"
                focus: true
                Keys.onReturnPressed: plugin.mark()
                Keys.onEnterPressed: plugin.mark()
                Text { anchors.centerIn: parent; color: "#ffffff"; text: "Mark a copy" }
                MouseArea { anchors.fill: parent; onClicked: plugin.mark() }
            }

            Text {
                id: message
                Layout.columnSpan: 2
                Layout.fillHeight: true
                Layout.fillWidth: true
                wrapMode: Text.WordWrap
            }
        }
    }
}
