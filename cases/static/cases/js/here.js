/* Coordinates of the scene: offers the place where this device is. Nothing is sent until saving. */
import { changeStill } from "../../shell/js/still.js";
import { widget } from "../../shell/js/widgets.js";

const PLACES = 6;

widget("here", (row) => {
  if (!("geolocation" in navigator)) return;
  const [latitude, longitude] = row.querySelectorAll("input");
  const button = document.createElement("button");
  button.type = "button";
  button.className = "button-quiet here";
  button.textContent = "Use my location";
  const words = document.createElement("p");
  words.className = "help";
  words.setAttribute("role", "status");
  row.after(button, words);
  const tell = (text) => changeStill([words], () => {
    words.textContent = text;
  });

  const take = ({ coords }) => {
    latitude.value = coords.latitude.toFixed(PLACES);
    longitude.value = coords.longitude.toFixed(PLACES);
    latitude.dispatchEvent(new Event("input", { bubbles: true }));
    longitude.dispatchEvent(new Event("input", { bubbles: true }));
    tell(`Within ${Math.round(coords.accuracy)} m.`);
  };

  button.addEventListener("click", () => {
    tell("Finding your location.");
    navigator.geolocation.getCurrentPosition(
      take,
      () => {
        tell("This device did not give its location. Enter the coordinates by hand.");
      },
      { enableHighAccuracy: true, timeout: 15000 },
    );
  });
});
